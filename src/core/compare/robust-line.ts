import { nthValue } from './nth-value.ts';
import { weightedLine } from './weighted-line.ts';

/** y = start + rate · x, and how far from it things are: the median of what is left over, without its sign. */
export interface RobustLine {
  readonly start: number;
  readonly rate: number;
  readonly spread: number;
  /** Of `rate`, one standard deviation. */
  readonly rateError: number;
}

/**
 * The line of least absolute deviation through points, found by weighting (each pass weighs a point by the inverse of
 * its distance), from a line through medians. A tenth of the points may be anywhere.
 * @param x ascending is not needed
 */
export function robustLine(x: ArrayLike<number>, y: ArrayLike<number>): RobustLine {
  const count = x.length;
  if (count < 2)
    return {
      start: count === 1 ? y[0]! - x[0]! : 0,
      rate: 1,
      spread: 0,
      rateError: Number.POSITIVE_INFINITY,
    };
  const centre = x[count >> 1]!;
  let rate = firstRate(x, y);
  const off = new Float64Array(count);
  for (let n = 0; n < count; n += 1) off[n] = y[n]! - rate * (x[n]! - centre);
  let start = median(off);
  let spread = 0;
  const weights = new Float64Array(count);
  for (let pass = 0; pass < 12; pass += 1) {
    const floor = Math.max(spread * 0.1, 1);
    for (let n = 0; n < count; n += 1) {
      weights[n] = 1 / Math.max(floor, Math.abs(y[n]! - start - rate * (x[n]! - centre)));
    }
    const line = weightedLine(x, y, centre, weights);
    if (line === undefined) break;
    const before = rate;
    ({ start, rate } = line);
    for (let n = 0; n < count; n += 1) off[n] = Math.abs(y[n]! - start - rate * (x[n]! - centre));
    spread = median(off);
    if (pass > 3 && Math.abs(rate - before) < 1e-9) break;
  }
  return { start: start - rate * centre, rate, spread, rateError: rateErrorOf(x, spread) };
}

/** Median of the slopes between points half the way apart (Theil and Sen's idea, with as many pairs as points). */
function firstRate(x: ArrayLike<number>, y: ArrayLike<number>): number {
  const half = x.length >> 1;
  const slopes = new Float64Array(x.length - half);
  let count = 0;
  for (let n = 0; n + half < x.length; n += 1) {
    const dx = x[n + half]! - x[n]!;
    if (dx !== 0) slopes[count++] = (y[n + half]! - y[n]!) / dx;
  }
  return count === 0 ? 1 : median(slopes.subarray(0, count));
}

/** A normal error of the same spread (σ = 1.4826 · median) over evenly weighted points; times π/2 for medians. */
function rateErrorOf(x: ArrayLike<number>, spread: number): number {
  let sum = 0;
  let squares = 0;
  for (let n = 0; n < x.length; n += 1) {
    sum += x[n]!;
    squares += x[n]! * x[n]!;
  }
  const width = squares - (sum * sum) / x.length;
  return width > 0 ? (1.4826 * spread * 1.2533) / Math.sqrt(width) : Number.POSITIVE_INFINITY;
}

/** The middle of the values; they are moved about. */
export function median(values: Float64Array): number {
  return values.length === 0 ? 0 : nthValue(values, values.length >> 1);
}

/** The value below which a share (0–1) lies; they are moved about. */
export function quantile(values: Float64Array, share: number): number {
  if (values.length === 0) return 0;
  return nthValue(values, Math.min(values.length - 1, Math.floor(share * values.length)));
}
