import { describe, expect, test } from 'vitest';
import { zeroCrossings } from '../../../../src/core/export/tape/zero-crossings.ts';

/** A tone of so many seconds; the filter is 1.6 ms long, so what is nearer to either end is not asked. */
const EDGE = 0.0041;
type Sound = (seconds: number) => number;
const tone =
  (hz: number, level: number, phase = 0): Sound =>
  (seconds) =>
    level * Math.sin(2 * Math.PI * hz * seconds + phase);
const sum =
  (...all: readonly Sound[]): Sound =>
  (seconds) =>
    all.reduce((value, one) => value + one(seconds), 0);

function crossingsOf(sound: Sound, rate: number, seconds = 0.05): number[] {
  const samples = Float32Array.from({ length: Math.round(seconds * rate) }, (_, at) => sound(at / rate));
  return [...zeroCrossings(samples, rate)].filter((at) => at > EDGE && at < seconds - EDGE);
}

/** Where a tone passes through zero: at every half of its cycle. */
function halvesOf(hz: number, seconds = 0.05, phase = 0): number[] {
  const all = Array.from(
    { length: Math.ceil(2 * hz * seconds) + 2 },
    (_, n) => (n - phase / Math.PI) / (2 * hz),
  );
  return all.filter((at) => at > EDGE && at < seconds - EDGE);
}

function expectNear(found: readonly number[], wanted: readonly number[], micros: number): void {
  expect(found).toHaveLength(wanted.length);
  for (const [n, at] of found.entries()) expect(Math.abs(at - wanted[n]!)).toBeLessThan(micros / 1e6);
}

describe('a tone passes through zero at every half of its cycle', () => {
  // 8000 and 22,050 Hz are sampled anew at four and two times as many; 31,999 doubled, 32,000 as it is.
  test.each([8_000, 11_025, 22_050, 31_999, 32_000, 44_100, 48_000])('%i samples a second', (rate) => {
    for (const hz of [1200, 2400])
      expectNear(crossingsOf(tone(hz, 0.7, 0.3), rate), halvesOf(hz, 0.05, 0.3), 3);
  });

  test('tones that a slow and a fast tape have', () => {
    for (const hz of [950, 3_000]) expectNear(crossingsOf(tone(hz, 0.3), 44_100), halvesOf(hz), 3);
  });
});

/** How far crossings of 1200 Hz are moved at most by something that is added as loud. */
function movedMicros(other: Sound): number {
  const moved = [0, 1, 2, 3, 4, 5].flatMap((phase) => {
    const found = crossingsOf(sum(tone(1200, 0.3, phase), other), 44_100);
    const wanted = halvesOf(1200, 0.05, phase);
    // Next to an edge one more or less may be within.
    return wanted.slice(2, -2).map((at) => Math.min(...found.map((one) => Math.abs(one - at))));
  });
  return 1e6 * Math.max(...moved);
}

describe('what is no tape sound is filtered out', () => {
  // A share g of what is added moves a crossing by asin(g) / (2 π 1200).
  test('a constant and hum come through by a fifth', () => {
    for (const other of [() => 0.3, tone(50, 0.3), tone(100, 0.3, 1)]) {
      const share = Math.sin(movedMicros(other) * 2e-6 * Math.PI * 1200);
      expect(share).toBeGreaterThan(0.19);
      expect(share).toBeLessThan(0.24);
    }
  });

  test('the edges of the band, 600 and 3400 Hz, by a half of what the middle has', () => {
    for (const hz of [600, 3_400]) {
      const share = Math.sin(movedMicros(tone(hz, 0.3, 1)) * 2e-6 * Math.PI * 1200);
      expect(share).toBeGreaterThan(0.45);
      expect(share).toBeLessThan(0.6);
    }
  });

  test('a whistle and hiss not at all', () => {
    for (const hz of [5_000, 6_000, 12_000]) expect(movedMicros(tone(hz, 0.3))).toBeLessThan(2);
  });
});

describe('what counts as a crossing', () => {
  test('nothing below the noise of an empty tape', () => {
    expect(crossingsOf(tone(1200, 0.003), 44_100)).toEqual([]);
    expectNear(crossingsOf(tone(1200, 0.005), 44_100), halvesOf(1200), 3);
    expect(crossingsOf(() => 0, 44_100)).toEqual([]);
    expect([...zeroCrossings(new Float32Array(0), 44_100)]).toEqual([]);
  });

  test('a ripple that passes through zero and does not come to a quarter of the peak is none', () => {
    const between = (level: number) => (seconds: number) =>
      seconds > 0.02 && seconds < 0.03 ? tone(2400, level)(seconds) : tone(1200, 0.8)(seconds);
    const within = (level: number) =>
      crossingsOf(between(level), 44_100, 0.05).filter((at) => at > 0.021 && at < 0.029).length;
    // 8 ms of 4800 crossings a second; the peak has fallen to 0.57 at their end, and a quarter of it is 0.14.
    expect(within(0.1)).toBeLessThan(2);
    expect(Math.abs(within(0.3) - 38.4)).toBeLessThan(2);
  });

  test('a tape that grows ten times softer is heard again once the peak is forgotten', () => {
    const fading: Sound = (seconds) => (seconds < 0.05 ? 1 : 0.1) * tone(1200, 0.8)(seconds);
    const later = crossingsOf(fading, 44_100, 0.15).filter((at) => at > 0.052);
    // 0.1 is a quarter of the peak after 30 ms · ln(1 / 0.4) = 27.5 ms; a half cycle is 0.42 ms.
    expect(later[0]).toBeGreaterThan(0.05 + 0.0275 - 0.0006);
    expect(later[0]).toBeLessThan(0.05 + 0.0275 + 0.0015);
    expectNear(
      later.slice(1, 20),
      later.slice(0, 19).map((at) => at + 1 / 2400),
      5,
    );
  });
});

test('a long recording: as many as there are, and told now and then how far it is', () => {
  // Sampled anew at twice as many: 131,072 of these are 65,536 of the recording's.
  const rate = 16_000;
  const length = (1 << 16) + 1000;
  const samples = Float32Array.from({ length }, (_, at) => ((at + 3) % 10 < 5 ? 0.5 : -0.5));
  const shares: number[] = [];
  const found = zeroCrossings(samples, rate, (share) => shares.push(share));
  expect(shares).toEqual([0, (1 << 16) / length]);
  // A square of 1600 Hz: a crossing each five samples, from the second on, half way between two.
  expect(found).toHaveLength(Math.ceil((length - 2) / 5));
  const inner = found.subarray(50, -50);
  expect(inner.every((at, n) => Math.abs(at * rate - (251.5 + 5 * n)) < 0.02)).toBe(true);
});
