/** 0, 1, 2 … as a column of places. */
export function placesUpTo(count: number): Uint32Array {
  const places = new Uint32Array(count);
  for (let n = 0; n < count; n += 1) places[n] = n;
  return places;
}

/** Places in the order of their values, equal ones as they stand. Values that ascend already are not sorted. */
export function orderOf(values: Float64Array): Uint32Array {
  const places = placesUpTo(values.length);
  return isAscending(values) ? places : places.sort((a, b) => values[a]! - values[b]! || a - b);
}

export function isAscending(values: Float64Array): boolean {
  for (let n = 1; n < values.length; n += 1) if (values[n]! < values[n - 1]!) return false;
  return true;
}
