import { median } from '../compare/robust-line.ts';

/** Moments at which bytes of one unbroken stretch were there; places within a stretch count every byte on the wire. */
export interface LineStretch {
  readonly places: readonly number[];
  readonly micros: readonly number[];
}

export interface LineRate {
  /** From one byte to the next, µs. */
  readonly byteMicros: number;
  /** Of it, one standard deviation. */
  readonly errorMicros: number;
  readonly points: number;
  /** Median distance of the moments from the line, µs. */
  readonly spreadMicros: number;
}

const PASSES = 12;
/** Fewer say nothing. */
const LEAST_POINTS = 12;
const LEAST_BYTES = 100;

/**
 * One rate for all stretches, each with a beginning of its own, so that neither a lost byte nor a rest moves it: the
 * line of least absolute deviation by weighting (each pass weighs a point by the inverse of its distance). Its error is
 * the larger of what the distances say and what the stretches' own rates differ by.
 */
export function lineRate(stretches: readonly LineStretch[]): LineRate | undefined {
  const usable = stretches.filter(({ places }) => places.length >= 3);
  const points = usable.reduce((sum, { places }) => sum + places.length, 0);
  const bytes = usable.reduce((sum, { places }) => sum + places.at(-1)! - places[0]!, 0);
  if (points < LEAST_POINTS || bytes < LEAST_BYTES) return undefined;
  let rate = firstRate(usable);
  let spread = spreadAround(usable, rate);
  let width = 0;
  for (let pass = 0; pass < PASSES; pass += 1) {
    const floor = Math.max(spread * 0.1, 0.5);
    let product = 0;
    width = 0;
    for (const stretch of usable) {
      const sums = weightedSums(stretch, rate, floor);
      product += sums.product;
      width += sums.width;
    }
    if (!(width > 0)) return undefined;
    rate = product / width;
    spread = spreadAround(usable, rate);
  }
  const squares = usable.reduce((sum, { places }) => sum + squaresOf(places), 0);
  // A normal error of the same spread (σ = 1.4826 · median); times π/2 for medians.
  const fromSpread = (1.4826 * spread * 1.2533) / Math.sqrt(squares);
  return {
    byteMicros: rate,
    errorMicros: Math.max(fromSpread, errorBetween(usable, rate)),
    points,
    spreadMicros: spread,
  };
}

/** Median of the slopes between points half a stretch apart. */
function firstRate(stretches: readonly LineStretch[]): number {
  const slopes: number[] = [];
  for (const { places, micros } of stretches) {
    const half = places.length >> 1;
    for (let n = 0; n + half < places.length; n += 1) {
      const width = places[n + half]! - places[n]!;
      if (width > 0) slopes.push((micros[n + half]! - micros[n]!) / width);
    }
  }
  return median(Float64Array.from(slopes));
}

function offsets({ places, micros }: LineStretch, rate: number): Float64Array {
  return Float64Array.from(places, (place, n) => micros[n]! - rate * (place - places[0]!));
}

function spreadAround(stretches: readonly LineStretch[], rate: number): number {
  const distances: number[] = [];
  for (const stretch of stretches) {
    const off = offsets(stretch, rate);
    const begin = median(off.slice());
    for (const one of off) distances.push(Math.abs(one - begin));
  }
  return median(Float64Array.from(distances));
}

function weightedSums(
  stretch: LineStretch,
  rate: number,
  floor: number,
): { readonly product: number; readonly width: number } {
  const { places, micros } = stretch;
  const off = offsets(stretch, rate);
  const begin = median(off.slice());
  let weights = 0;
  let x = 0;
  let y = 0;
  const weight = off.map((one) => 1 / Math.max(floor, Math.abs(one - begin)));
  for (let n = 0; n < places.length; n += 1) {
    weights += weight[n]!;
    x += weight[n]! * (places[n]! - places[0]!);
    y += weight[n]! * (micros[n]! - micros[0]!);
  }
  let product = 0;
  let width = 0;
  for (let n = 0; n < places.length; n += 1) {
    const dx = places[n]! - places[0]! - x / weights;
    product += weight[n]! * dx * (micros[n]! - micros[0]! - y / weights);
    width += weight[n]! * dx * dx;
  }
  return { product, width };
}

function squaresOf(places: readonly number[]): number {
  const mean = places.reduce((sum, one) => sum + one, 0) / places.length;
  return places.reduce((sum, one) => sum + (one - mean) ** 2, 0);
}

/** How far the rates of single stretches are from the common one, weighed by what each can tell. */
function errorBetween(stretches: readonly LineStretch[], rate: number): number {
  const telling = stretches.filter(({ places }) => places.length >= 8);
  if (telling.length < 3) return 0;
  let weights = 0;
  let sum = 0;
  for (const stretch of telling) {
    const own = firstRate([stretch]);
    const weight = squaresOf(stretch.places);
    weights += weight;
    sum += weight * (own - rate) ** 2;
  }
  return Math.sqrt(sum / weights / (telling.length - 1));
}
