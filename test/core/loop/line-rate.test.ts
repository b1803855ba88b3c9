import { expect, test } from 'vitest';
import { type LineStretch, lineRate } from '../../../src/core/loop/line-rate.ts';

/** Every byte of a stretch, at a rate of its own (µs a byte), from a moment of its own. */
function stretch(count: number, byteMicros: number, from = 0, step = 1): LineStretch {
  const places = Array.from({ length: count }, (_, n) => n * step);
  return { places, micros: places.map((place) => from + place * byteMicros) };
}

test('a line without a flaw: its rate, and no doubt', () => {
  const rate = lineRate([stretch(60, 320), stretch(60, 320, 1e6)])!;
  expect(rate.byteMicros).toBeCloseTo(320, 9);
  expect(rate.errorMicros).toBeCloseTo(0, 6);
  expect(rate.spreadMicros).toBeCloseTo(0, 6);
  expect(rate.points).toBe(120);
});

test('stretches that differ: one standard deviation of their mean', () => {
  // Rates 319, 320 and 321, equally long: variance of the mean 2/3 : 2 = 1/3.
  const rate = lineRate([stretch(101, 319), stretch(101, 320, 5e5), stretch(101, 321, 1e6)])!;
  expect(rate.byteMicros).toBeCloseTo(320, 6);
  expect(rate.errorMicros).toBeCloseTo(Math.sqrt(1 / 3), 6);
  // Those of eight points tell as well, those of seven do not.
  const short = (count: number) =>
    lineRate([319, 320, 321].map((byteMicros, n) => stretch(count, byteMicros, n * 1e6, 10)))!.errorMicros;
  expect(short(8)).toBeCloseTo(Math.sqrt(1 / 3), 6);
  expect(short(7)).toBeLessThan(0.4);
  // A longer one counts by its squares: eight times as much where it is twice as long.
  const unequal = lineRate([
    stretch(101, 320),
    stretch(101, 320, 5e5),
    stretch(101, 320, 9e5),
    stretch(31, 330, 2e6),
  ])!;
  const squares = (count: number) => (count * (count ** 2 - 1)) / 12;
  const off = unequal.byteMicros;
  const sum = 3 * squares(101) * (320 - off) ** 2 + squares(31) * (330 - off) ** 2;
  expect(unequal.errorMicros).toBeCloseTo(Math.sqrt(sum / (3 * squares(101) + squares(31)) / 3), 6);
});

test('one stretch with jitter: the error of a line of least absolute deviation', () => {
  // Every second point 10 µs late: median distance from the middle 5 µs.
  const places = Array.from({ length: 200 }, (_, n) => n);
  const micros = places.map((place) => place * 320 + (place % 2 === 0 ? 0 : 10));
  const rate = lineRate([{ places, micros }])!;
  const squares = (200 * (200 ** 2 - 1)) / 12;
  // σ = 1.4826 · the median distance of a normal one; √(π/2) for medians.
  const spread = rate.spreadMicros;
  expect(spread).toBeGreaterThanOrEqual(5);
  expect(spread).toBeLessThanOrEqual(10);
  expect(rate.errorMicros).toBeCloseTo((1.4826 * spread * 1.2533) / Math.sqrt(squares), 9);
});

test.each<[string, LineStretch[], boolean]>([
  ['eleven points', [stretch(11, 320, 0, 10)], false],
  ['twelve points', [stretch(12, 320, 0, 10)], true],
  ['99 bytes', [stretch(100, 320)], false],
  ['100 bytes', [stretch(101, 320)], true],
  ['stretches of two points', Array.from({ length: 40 }, (_, n) => stretch(2, 320, n * 1e5, 10)), false],
  ['stretches of three points', Array.from({ length: 10 }, (_, n) => stretch(3, 320, n * 1e5, 10)), true],
  ['bytes of one place', [{ places: Array(60).fill(3), micros: Array(60).fill(5) }], false],
  ['nothing', [], false],
])('%s: known or not', (_what, stretches, isKnown) => {
  expect(lineRate(stretches) !== undefined).toBe(isKnown);
});
