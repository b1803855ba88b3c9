/**
 * Where a recording of tape sound passes through zero: what a decoder measures, since a tape keeps times better than
 * levels. Filtered first, so that hum, hiss and square corners do not count; a symmetric filter keeps all times
 * alike. Sampled anew above 32 kHz where it was coarser, so that a straight line between two samples is good enough.
 * @param samples -1 … 1
 * @param progress told now and then which share is done
 * @returns positions in seconds, ascending
 */
export function zeroCrossings(
  samples: Float32Array,
  sampleRate: number,
  progress: (share: number) => void = () => {},
): Float64Array {
  const factor = Math.ceil(FINE_RATE / sampleRate);
  const rate = sampleRate * factor;
  const taps = bandPass(rate, factor);
  let found = new Float64Array(1 << 12);
  let count = 0;
  /** Peak that is forgotten over some 30 ms. */
  let peak = 0;
  const forget = Math.exp(-1 / (rate * 0.03));
  let sign = 0;
  let candidate = -1;
  let before = 0;
  const reach = (taps.length - 1) / 2;
  for (let at = 0; at < samples.length * factor; at += 1) {
    if (at % PROGRESS_SAMPLES === 0) progress(at / (samples.length * factor));
    const value = filtered(samples, taps, at + reach, factor);
    peak = Math.max(peak * forget, Math.abs(value));
    if (value < 0 !== before < 0) candidate = at - 1 + before / (before - value);
    if (value !== 0) before = value;
    if (peak < QUIET || Math.abs(value) < peak * ARMED) continue;
    const side = value < 0 ? -1 : 1;
    if (side === sign) continue;
    if (sign !== 0 && candidate >= 0) {
      if (count === found.length) found = grown(found);
      found[count] = candidate / rate;
      count += 1;
    }
    sign = side;
  }
  return found.slice(0, count);
}

function grown(full: Float64Array<ArrayBuffer>): Float64Array<ArrayBuffer> {
  const larger = new Float64Array(2 * full.length);
  larger.set(full);
  return larger;
}

/** Some hundredths of a second of work. */
const PROGRESS_SAMPLES = 1 << 17;
const FINE_RATE = 32_000;
/** Nothing is below this share of full scale but the noise of an empty tape. */
const QUIET = 0.004;
/** A crossing counts once the sound has come to this share of its peak on the other side. */
const ARMED = 0.25;

/** Lets 1200 and 2400 Hz pass at any speed a tape may have: about 700 to 3,300 Hz, 1.6 ms long. */
function bandPass(rate: number, gain: number): Float64Array {
  const half = Math.round(rate * 0.0008);
  const taps = new Float64Array(2 * half + 1);
  const low = HZ_LOW / rate;
  const high = HZ_HIGH / rate;
  for (let n = -half; n <= half; n += 1) {
    // Hann window over the difference of two low passes.
    const window = 0.5 + 0.5 * Math.cos((Math.PI * n) / (half + 1));
    const ideal =
      n === 0
        ? 2 * (high - low)
        : (Math.sin(2 * Math.PI * high * n) - Math.sin(2 * Math.PI * low * n)) / (Math.PI * n);
    taps[n + half] = gain * window * ideal;
  }
  return taps;
}

const HZ_LOW = 600;
const HZ_HIGH = 3400;

/** One value of the filter at fine position `at` (end of its taps); between samples of the recording lie zeros. */
function filtered(samples: Float32Array, taps: Float64Array, at: number, factor: number): number {
  let sum = 0;
  let sample = Math.floor(at / factor);
  for (let tap = at - sample * factor; tap < taps.length && sample >= 0; tap += factor, sample -= 1) {
    if (sample < samples.length) sum += taps[tap]! * samples[sample]!;
  }
  return sum;
}
