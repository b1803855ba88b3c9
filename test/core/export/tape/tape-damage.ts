import { seeded } from '../../../support/seeded.ts';

/** What a cassette does to a sound: each takes samples (-1 … 1) and hands new ones back. Chance comes from a seed. */
export const floats = (samples: Int16Array): Float32Array =>
  new Float32Array(samples).map((value) => value / 32_768);

export const inverted = (samples: Float32Array): Float32Array => samples.map((value) => -value);

export const square = (samples: Float32Array): Float32Array =>
  samples.map((value) => (value < 0 ? -0.6 : 0.6));

/** The playing speed at each second, 1 as it should be. */
export function replayed(
  samples: Float32Array,
  rate: number,
  speed: (seconds: number) => number,
): Float32Array {
  const out: number[] = [];
  for (let at = 0, n = 0; at < samples.length - 1; n++) {
    const whole = Math.floor(at);
    out.push(samples[whole]! + (at - whole) * (samples[whole + 1]! - samples[whole]!));
    at += speed(n / rate);
  }
  return Float32Array.from(out);
}

export const wow =
  (depth: number, flutter: number) =>
  (seconds: number): number =>
    1 + depth * Math.sin(2 * Math.PI * 0.9 * seconds) + flutter * Math.sin(2 * Math.PI * 11 * seconds);

/** White noise over the whole band, so many decibels below the sound. */
export function noisy(samples: Float32Array, decibels: number, seed: number): Float32Array {
  const chance = seeded(seed);
  const power = samples.reduce((sum, value) => sum + value * value, 0) / samples.length;
  const sigma = Math.sqrt(power / 10 ** (decibels / 10));
  return samples.map(
    (value) => value + sigma * Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance()),
  );
}

/** Stretches in which nearly nothing is left, at random places. */
export function dropouts(
  samples: Float32Array,
  rate: number,
  lengthSeconds: number,
  perMinute: number,
  seed: number,
): Float32Array {
  const chance = seeded(seed);
  const out = samples.slice();
  for (let at = 0; at < out.length; ) {
    at += Math.round((-Math.log(1 - chance()) * 60 * rate) / perMinute);
    for (let n = 0; n < lengthSeconds * rate && at < out.length; n++, at++) out[at] = out[at]! * 0.02;
  }
  return out;
}

export function wobbling(samples: Float32Array, rate: number): Float32Array {
  return samples.map((value, at) => value * (0.55 + 0.4 * Math.sin((2 * Math.PI * 2.3 * at) / rate)));
}
