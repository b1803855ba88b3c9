const MOST_DIGIT_BITS = 11;

/**
 * Sorts rows by their tick; rows of one tick keep their order. A counting sort by digits, least significant
 * first (Knuth, The Art of Computer Programming 3, 5.2.5): its time does not depend on how many tracks there
 * are or how they interleave.
 * @param rows on return of no use, unless it is what is returned
 * @param scratch as long as `rows`
 * @param first no tick is before it
 * @returns `rows` or `scratch`, whichever the sorted rows ended up in
 */
export function orderByTick(
  rows: Uint32Array,
  scratch: Uint32Array,
  tick: Uint32Array,
  first: number,
): Uint32Array {
  const last = lastTickUnlessSorted(rows, tick);
  if (last === undefined) return rows;
  const bits = Math.max(1, 32 - Math.clz32(last - first));
  const passes = Math.ceil(bits / MOST_DIGIT_BITS);
  const digitBits = Math.ceil(bits / passes);
  let from = rows;
  let to = scratch;
  for (let shift = 0; shift < bits; shift += digitBits) {
    sortByDigit(from, to, tick, first, shift, digitBits);
    [from, to] = [to, from];
  }
  return from;
}

/** The largest tick; undefined where the rows are in order already (every song of one track). */
function lastTickUnlessSorted(rows: Uint32Array, tick: Uint32Array): number | undefined {
  let sorted = true;
  let before = 0;
  let last = 0;
  for (let at = 0; at < rows.length; at += 1) {
    const here = tick[rows[at]!]!;
    if (here < before) sorted = false;
    if (here > last) last = here;
    before = here;
  }
  return sorted ? undefined : last;
}

function sortByDigit(
  from: Uint32Array,
  to: Uint32Array,
  tick: Uint32Array,
  first: number,
  shift: number,
  digitBits: number,
): void {
  const mask = 2 ** digitBits - 1;
  const place = new Uint32Array(mask + 1);
  for (let at = 0; at < from.length; at += 1) place[((tick[from[at]!]! - first) >>> shift) & mask]! += 1;
  let before = 0;
  for (let digit = 0; digit <= mask; digit += 1) {
    const here = place[digit]!;
    place[digit] = before;
    before += here;
  }
  for (let at = 0; at < from.length; at += 1) {
    const row = from[at]!;
    const digit = ((tick[row]! - first) >>> shift) & mask;
    to[place[digit]!] = row;
    place[digit]! += 1;
  }
}
