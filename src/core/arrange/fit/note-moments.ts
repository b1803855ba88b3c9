import type { TimelineColumns } from '../../timeline/timeline.ts';
import type { HeardNotes } from './heard-notes.ts';

/**
 * Moments at which notes begin: one for each tick with a strike.
 *
 *   row  u32  first row of that tick with a strike
 *   of   u32 [notes]  moment of each note
 */
export interface NoteMoments {
  readonly count: number;
  readonly row: Uint32Array;
  readonly of: Uint32Array;
}

export function noteMoments({ tick }: TimelineColumns, { count, onRow }: HeardNotes): NoteMoments {
  const row = new Uint32Array(count);
  const of = new Uint32Array(count);
  let moments = 0;
  for (let note = 0; note < count; note += 1) {
    if (note === 0 || tick[onRow[note]!] !== tick[onRow[note - 1]!]) row[moments++] = onRow[note]!;
    of[note] = moments - 1;
  }
  return { count: moments, row: row.subarray(0, moments), of };
}

/** First row of the last moment, between two rows, that is not after a time. */
export function lastRowNotAfter(micros: Float64Array, low: number, high: number, time: number): number {
  let from = low;
  let to = high;
  while (from < to) {
    const middle = (from + to + 1) >>> 1;
    if (micros[middle]! <= time) from = middle;
    else to = middle - 1;
  }
  while (from > low && micros[from - 1] === micros[from]) from -= 1;
  return from;
}
