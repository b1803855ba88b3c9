/** The first of ascending values that is not below `from`; their number where there is none. */
export function firstNotBefore(values: ArrayLike<number>, from: number): number {
  let low = 0;
  let high = values.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (values[middle]! >= from) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** The first of ascending values that is above `limit`; their number where there is none. */
export function firstAfter(values: ArrayLike<number>, limit: number): number {
  let low = 0;
  let high = values.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (values[middle]! > limit) high = middle;
    else low = middle + 1;
  }
  return low;
}
