import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { median, quantile, robustLine } from '../../../src/core/compare/robust-line.ts';
import { weightedLine } from '../../../src/core/compare/weighted-line.ts';
import { seeded } from '../../support/seeded.ts';

const line = (x: readonly number[], start: number, rate: number) => x.map((at) => start + rate * at);

describe('a line through weighted points', () => {
  test('worked by hand: a point of weight two stands for two', () => {
    // About 10 the x are −1, 0 and 2 (twice), the y 1, 3, 4, 4: Σx 3, Σy 12, Σx² 9, Σxy 15, of four points.
    const found = weightedLine([9, 10, 12], [1, 3, 4], 10, Float64Array.of(1, 1, 2));
    // Slope (4·15 − 3·12) / (4·9 − 3²) = 24/27; at the centre (12 − 3·24/27) / 4; width 9 − 3²/4.
    expect(found!.rate).toBeCloseTo(24 / 27, 12);
    expect(found!.start).toBeCloseTo((12 - 72 / 27) / 4, 12);
    expect(found!.width).toBeCloseTo(27 / 4, 12);
  });

  test('a point without weight counts for nothing, and of one x there is no line', () => {
    const points = [
      [1, 2, 3],
      [5, 99, 9],
    ] as const;
    expect(weightedLine(...points, 2, Float64Array.of(1, 0, 1))).toMatchObject({ start: 7, rate: 2 });
    expect(weightedLine(...points, 2, Float64Array.of(1, 0, 0))).toBeUndefined();
    expect(weightedLine([4, 4], [1, 2], 0, Float64Array.of(1, 1))).toBeUndefined();
  });
});

describe('the robust line', () => {
  test('goes through points of a line exactly, whatever the line and however they are ordered', () => {
    fc.assert(
      fc.property(
        fc.uniqueArray(fc.integer({ min: 0, max: 1000 }), { minLength: 2, maxLength: 40 }),
        fc.integer({ min: -1000, max: 1000 }),
        fc.constantFrom(0.5, 0.998, 1, 1.25, 3),
        (x, start, rate) => {
          const found = robustLine(x, line(x, start, rate));
          expect(found.rate).toBeCloseTo(rate, 6);
          expect(found.start).toBeCloseTo(start, 3);
          expect(found.spread).toBeLessThan(1e-6);
        },
      ),
    );
  });

  test('a tenth of the points anywhere does not move it', () => {
    const x = Array.from({ length: 40 }, (_, n) => 1000 * n);
    const y = line(x, 700, 1.01);
    for (const wrong of [3, 17, 25, 39]) y[wrong] = 1e7;
    const found = robustLine(x, y);
    expect(found.rate).toBeCloseTo(1.01, 5);
    expect(Math.abs(found.start - 700)).toBeLessThan(2);
    expect(found.spread).toBeLessThan(2);
  });

  test('a third above and a third below: the spread is the distance, and the doubt that of a normal error so large', () => {
    const x = Array.from({ length: 101 }, (_, n) => n);
    const found = robustLine(
      x,
      x.map((at) => 5 + 2 * at + 40 * ((at % 3) - 1)),
    );
    expect(found.rate).toBeCloseTo(2, 1);
    expect(found.spread).toBeGreaterThan(38);
    expect(found.spread).toBeLessThan(42);
    // Σ(x − x̄)² of 101 evenly spaced points is 101 · (101² − 1) / 12.
    const width = (101 * (101 ** 2 - 1)) / 12;
    expect(found.rateError).toBeCloseTo((1.4826 * found.spread * 1.2533) / Math.sqrt(width), 9);
  });

  test('the distances from it are in sum within a hundredth the least that any line has', () => {
    // The line of least absolute deviation goes through two of the points: all pairs are tried.
    for (let seed = 1; seed <= 20; seed += 1) {
      const chance = seeded(seed);
      const x = Array.from({ length: 15 }, (_, n) => n * 100 + chance() * 50);
      const y = x.map((at) => 300 + 0.2 * at + (chance() < 0.2 ? 3000 * chance() : 100 * (chance() - 0.5)));
      const sum = (start: number, rate: number) =>
        x.reduce((all, at, n) => all + Math.abs(y[n]! - start - rate * at), 0);
      const least = Math.min(
        ...x.flatMap((one, n) =>
          x.slice(0, n).map((other, m) => {
            const slope = (y[n]! - y[m]!) / (one - other);
            return sum(y[n]! - slope * one, slope);
          }),
        ),
      );
      const found = robustLine(x, y);
      expect(sum(found.start, found.rate)).toBeLessThan(1.01 * least);
    }
  });

  test('of one point it is known where it begins; of none, and of one x, nothing of its rate', () => {
    expect(robustLine([], [])).toEqual({ start: 0, rate: 1, spread: 0, rateError: Infinity });
    expect(robustLine([30], [100])).toEqual({ start: 70, rate: 1, spread: 0, rateError: Infinity });
    const same = robustLine([30, 30, 30], [100, 101, 150]);
    expect(same).toMatchObject({ rate: 1, rateError: Infinity });
    expect(same.start).toBe(71);
    expect(robustLine([0, 10], [5, 25]).start).toBeCloseTo(5, 9);
  });
});

test('median and quantile: the value at its place among the sorted', () => {
  const values = [7, 3, 9, 1, 5, 8];
  expect(median(Float64Array.from(values))).toBe(7);
  expect(median(new Float64Array(0))).toBe(0);
  const quantiles = [0, 0.17, 0.5, 0.99, 1].map((share) => quantile(Float64Array.from(values), share));
  expect(quantiles).toEqual([1, 3, 7, 9, 9]);
  expect(quantile(new Float64Array(0), 0.5)).toBe(0);
});
