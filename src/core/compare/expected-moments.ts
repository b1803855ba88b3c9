import { firstAfter } from '../timeline/sorted-values.ts';
import type { Matching } from './align-streams.ts';
import { orderOf } from './ascending-order.ts';
import { median } from './robust-line.ts';

/** Pairs whose median says how far off the recording is at a place. */
const WINDOW = 33;
const STEP = 8;
/** In a song of very many notes the places lie closer than anything could go wrong between them. */
const MOST_PLACES = 30_000;

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
  const moments = onLine(times, line);
  const pairs = pairsInOrder(moments, heardOf);
  if (pairs.length === 0) return moments;
  const step = Math.max(STEP, Math.ceil(pairs.length / MOST_PLACES));
  const places = Math.ceil(pairs.length / step);
  const placeAt = new Float64Array(places);
  const placeOff = new Float64Array(places);
  const window = new Float64Array(Math.min(WINDOW, pairs.length));
  for (let place = 0; place < places; place += 1) {
    const at = place * step;
    const low = Math.max(0, Math.min(at - (WINDOW >> 1), pairs.length - WINDOW));
    for (let n = 0; n < window.length; n += 1) {
      const note = pairs[low + n]!;
      window[n] = heardAt[heardOf[note]!]! - moments[note]!;
    }
    placeOff[place] = median(window);
    placeAt[place] = moments[pairs[Math.min(pairs.length - 1, at + (step >> 1))]!]!;
  }
  shiftBetween(moments, placeAt, placeOff);
  return moments;
}

function onLine(times: Float64Array, { start, rate }: { readonly start: number; readonly rate: number }) {
  const moments = new Float64Array(times.length);
  for (let note = 0; note < times.length; note += 1) moments[note] = start + rate * times[note]!;
  return moments;
}

/** Written notes that were heard, by when they are expected. */
function pairsInOrder(moments: Float64Array, heardOf: Int32Array): Uint32Array {
  const pairs = new Uint32Array(moments.length);
  let count = 0;
  for (const note of orderOf(moments)) {
    if (heardOf[note]! < 0) continue;
    pairs[count] = note;
    count += 1;
  }
  return pairs.subarray(0, count);
}

/** Adds to each moment the offset between the two places around it. */
function shiftBetween(moments: Float64Array, placeAt: Float64Array, placeOff: Float64Array): void {
  const last = placeAt.length - 1;
  let low = 0;
  for (let note = 0; note < moments.length; note += 1) {
    const moment = moments[note]!;
    if (moment <= placeAt[0]!) moments[note] = moment + placeOff[0]!;
    else if (moment >= placeAt[last]!) moments[note] = moment + placeOff[last]!;
    else {
      // Moments mostly ascend: it is the same place, or must be looked for.
      if (!(placeAt[low]! <= moment && moment < placeAt[low + 1]!)) low = firstAfter(placeAt, moment) - 1;
      const share = (moment - placeAt[low]!) / (placeAt[low + 1]! - placeAt[low]!);
      moments[note] = moment + placeOff[low]! + share * (placeOff[low + 1]! - placeOff[low]!);
    }
  }
}
