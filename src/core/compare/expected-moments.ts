import type { Matching } from './align-streams.ts';
import { median } from './robust-line.ts';

/** Pairs whose median says how far off the recording is at a place. */
const WINDOW = 33;
const STEP = 8;

/**
 * When each written note is to be expected in the recording, from pairs that are known: the law's own time, shifted by
 * the middle of what the pairs nearby are off. So lost time, a jump or a wrong clock is followed, and a wrong pair
 * here and there does no harm.
 * @param times song time of each written note under the law
 * @param line the law's line into the recording, for places without pairs
 */
export function expectedMoments(
  times: Float64Array,
  heardAt: Float64Array,
  { heardOf }: Pick<Matching, 'heardOf'>,
  line: { readonly start: number; readonly rate: number },
): Float64Array {
  const onLine = times.map((micros) => line.start + line.rate * micros);
  const pairs: number[] = [];
  for (let note = 0; note < times.length; note += 1) if (heardOf[note]! >= 0) pairs.push(note);
  if (pairs.length === 0) return onLine;
  pairs.sort((a, b) => onLine[a]! - onLine[b]!);
  const off = Float64Array.from(pairs, (note) => heardAt[heardOf[note]!]! - onLine[note]!);
  const knotAt: number[] = [];
  const knotOff: number[] = [];
  for (let from = 0; from < pairs.length; from += STEP) {
    const low = Math.max(0, Math.min(from - (WINDOW >> 1), pairs.length - WINDOW));
    knotOff.push(median(off.slice(low, low + WINDOW)));
    knotAt.push(onLine[pairs[Math.min(pairs.length - 1, from + (STEP >> 1))]!]!);
  }
  return between(onLine, knotAt, knotOff);
}

/** Adds to each moment the offset between its two knots. */
function between(moments: Float64Array, knotAt: readonly number[], knotOff: readonly number[]): Float64Array {
  return moments.map((moment) => {
    let low = 0;
    let high = knotAt.length - 1;
    if (moment <= knotAt[0]!) return moment + knotOff[0]!;
    if (moment >= knotAt[high]!) return moment + knotOff[high]!;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (knotAt[middle]! <= moment) low = middle;
      else high = middle;
    }
    const width = knotAt[high]! - knotAt[low]!;
    const share = width > 0 ? (moment - knotAt[low]!) / width : 0;
    return moment + knotOff[low]! + share * (knotOff[high]! - knotOff[low]!);
  });
}
