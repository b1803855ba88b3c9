import { sharedF64, sharedU32 } from '../timeline/shared-columns.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';
import { timelineColumns } from '../timeline/timeline-columns.ts';
import { withoutRows } from './without-rows.ts';

/**
 * A song up to a moment: nothing of what comes after it is sent, and notes that sound then are let go there. Where it
 * begins is no matter of the arrangement: what was set before the beginning is chased.
 * @param toMicros song time of the new end
 * @param toTick the same moment in ticks
 */
export function excerptUpTo(columns: TimelineColumns, toMicros: number, toTick: number): TimelineColumns {
  const { count, micros, status, partner } = columns;
  const drop = new Uint8Array(count);
  for (let row = 0; row < count; row += 1) {
    if (micros[row]! < toMicros) continue;
    // A note-off whose note-on stays comes with it.
    const other = partner[row]!;
    drop[row] = status[row]! < 0xf0 && other < count && micros[other]! < toMicros ? 0 : 1;
  }
  const kept = withoutRows(columns, drop);
  if (kept.count > 0 && kept.micros[kept.count - 1]! <= toMicros) return kept;
  const ended = { micros: sharedF64(kept.count), tick: sharedU32(kept.count) };
  for (let row = 0; row < kept.count; row += 1) {
    ended.micros[row] = Math.min(kept.micros[row]!, toMicros);
    ended.tick[row] = Math.min(kept.tick[row]!, toTick);
  }
  return timelineColumns({ ...kept, ...ended });
}
