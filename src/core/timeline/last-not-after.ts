/**
 * Index of the last row whose `field` is not after `value`, 0 where all are. `rows` ascend in `field` and are
 * not empty.
 */
export function lastNotAfter<Field extends string>(
  rows: readonly Readonly<Record<Field, number>>[],
  field: Field,
  value: number,
): number {
  let low = 0;
  let high = rows.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >>> 1;
    if (rows[middle]![field] <= value) low = middle;
    else high = middle - 1;
  }
  return low;
}
