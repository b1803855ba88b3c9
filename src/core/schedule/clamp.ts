/** NaN, from a driver's mistake, counts as the low end. */
export function clamp(value: number, low: number, high: number): number {
  if (!(value > low)) return low;
  return Math.min(value, high);
}
