const DIGIT_BITS = 11;
const DIGITS = 2 ** DIGIT_BITS;

/**
 * The rows of `ticks` in the order of their ticks; rows of one tick keep theirs. A counting sort by digits,
 * least significant first (Knuth, The Art of Computer Programming 3, 5.2.5).
 */
export function orderByTick(ticks: Uint32Array): Uint32Array {
  let from = ticks.map((_, row) => row);
  if (isSorted(ticks)) return from; // as in every song of one track
  let to = new Uint32Array(ticks.length);
  for (let shift = 0; shift < 32; shift += DIGIT_BITS) {
    const place = new Uint32Array(DIGITS);
    for (const tick of ticks) place[(tick >>> shift) % DIGITS]! += 1;
    let before = 0;
    for (let digit = 0; digit < DIGITS; digit += 1) {
      before += place[digit]!;
      place[digit] = before - place[digit]!;
    }
    for (const row of from) {
      const digit = (ticks[row]! >>> shift) % DIGITS;
      to[place[digit]!] = row;
      place[digit]! += 1;
    }
    [from, to] = [to, from];
  }
  return from;
}

function isSorted(ticks: Uint32Array): boolean {
  for (let row = 1; row < ticks.length; row += 1) if (ticks[row]! < ticks[row - 1]!) return false;
  return true;
}
