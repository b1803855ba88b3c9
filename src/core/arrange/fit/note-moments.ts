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
