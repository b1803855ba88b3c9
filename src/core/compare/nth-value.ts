/** After so many halvings that were none, the values are made to be awkward: they are sorted. */
const MOST_ROUNDS = 64;

/**
 * The value that would stand at `place` if the values were sorted; they are moved about. Linear time on average
 * (selection by partition, Hoare 1961), and never worse than sorting.
 * @param place 0 … length − 1; NaN is not allowed among the values
 */
export function nthValue(values: Float64Array, place: number): number {
  let low = 0;
  let high = values.length - 1;
  for (let round = 0; low < high; round += 1) {
    if (round === MOST_ROUNDS) {
      values.subarray(low, high + 1).sort();
      break;
    }
    const pivot = middleOf(values[low]!, values[(low + high) >> 1]!, values[high]!);
    let left = low;
    let right = high;
    while (left <= right) {
      while (values[left]! < pivot) left += 1;
      while (values[right]! > pivot) right -= 1;
      if (left > right) break;
      const value = values[left]!;
      values[left] = values[right]!;
      values[right] = value;
      left += 1;
      right -= 1;
    }
    if (place <= right) high = right;
    else if (place >= left) low = left;
    else break;
  }
  return values[place]!;
}

function middleOf(a: number, b: number, c: number): number {
  return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
}
