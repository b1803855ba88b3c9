import { firstNotBefore } from '../timeline/sorted-values.ts';
import type { HeardMusic } from './heard-music.ts';
import { EDGE_MICROS, type Place } from './live-place.ts';
import type { SongPlace } from './song-places.ts';
import type { WrittenMusic } from './written-music.ts';

/**
 * The place of what is as written: there it is known which note is which, so that it is cut where no note of one side stands
 * on the other, and before the first that is still to come.
 * @param fromMicros song time at which the part of the song begins that was heard
 */
export function placeByPairs(
  written: WrittenMusic,
  fromMicros: number,
  { on }: HeardMusic,
  { writtenOf, wholeFromMicros, overAt }: SongPlace,
): Place {
  const count = overAt < 0 ? on.count : Math.min(on.count, overAt);
  const songAt = new Float64Array(on.count).fill(Number.NaN);
  /** Song time of the latest up to each. */
  const latest = new Float64Array(count);
  let songMicros = Number.NEGATIVE_INFINITY;
  for (let note = 0; note < count; note += 1) {
    songAt[note] = written.micros[writtenOf[note]!]!;
    songMicros = Math.max(songMicros, songAt[note]!);
    latest[note] = songMicros;
  }
  const limit = Math.min(songMicros - EDGE_MICROS, firstToCome(written, writtenOf, count, wholeFromMicros));
  let toMicros = -1;
  let heardUntil = -1;
  let earliestBehind = Number.POSITIVE_INFINITY;
  for (let note = count - 1; note >= 0; note -= 1) {
    const isClean = latest[note]! < earliestBehind && !(on.micros[note + 1]! <= on.micros[note]!);
    if (isClean && latest[note]! < limit) {
      toMicros = latest[note]!;
      heardUntil = on.micros[note]!;
      break;
    }
    earliestBehind = Math.min(earliestBehind, songAt[note]!);
  }
  const begunMicros = count > 0 ? songAt[0]! : 0;
  return { fromMicros, share: 1, begunMicros, songMicros, toMicros, heardUntil, songAt };
}

/** Song time of the first note that has not come, of those that were to be heard; infinity where all up to the last came. */
function firstToCome(
  { micros, count }: WrittenMusic,
  writtenOf: Int32Array,
  heard: number,
  wholeFromMicros: number,
): number {
  const first = firstNotBefore(micros, wholeFromMicros);
  const came = new Uint8Array(count - first);
  for (let note = 0; note < heard; note += 1)
    if (writtenOf[note]! >= first) came[writtenOf[note]! - first] = 1;
  const open = came.indexOf(0);
  return open < 0 ? Number.POSITIVE_INFINITY : micros[first + open]!;
}

/** [heard] which note each of the first is of that part of the song which lies between two song times; −1: of another. */
export function pairsIn(
  { micros }: WrittenMusic,
  { fromMicros, toMicros }: { readonly fromMicros: number; readonly toMicros: number },
  { writtenOf }: SongPlace,
  heardNotes: number,
): Int32Array {
  const first = firstNotBefore(micros, fromMicros);
  return writtenOf
    .subarray(0, heardNotes)
    .map((note) => (note < first || micros[note]! > toMicros ? -1 : note - first));
}
