/** y = start + rate · (x − centre) through weighted points. */
export interface WeightedLine {
  readonly start: number;
  readonly rate: number;
  /** Sum of the weighted squares of x about its mean: what a rate's error is measured by. */
  readonly width: number;
}

/**
 * The line of least squares where each point has a weight.
 * @param weights as many as points; a point of weight 0 counts for nothing
 * @returns undefined where the points that count all have one x
 */
export function weightedLine(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  centre: number,
  weights: Float64Array,
): WeightedLine | undefined {
  let sw = 0;
  let sx = 0;
  let sy = 0;
  let sxx = 0;
  let sxy = 0;
  for (let n = 0; n < weights.length; n += 1) {
    const weight = weights[n]!;
    if (weight === 0) continue;
    const dx = x[n]! - centre;
    sw += weight;
    sx += weight * dx;
    sy += weight * y[n]!;
    sxx += weight * dx * dx;
    sxy += weight * dx * y[n]!;
  }
  const square = sw * sxx - sx * sx;
  if (!(square > 0)) return undefined;
  const rate = (sw * sxy - sx * sy) / square;
  return { start: (sy - rate * sx) / sw, rate, width: square / sw };
}
