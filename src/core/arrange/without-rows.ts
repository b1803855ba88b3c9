import { sharedF64, sharedU8, sharedU16, sharedU32 } from '../timeline/shared-columns.ts';
import { NO_PARTNER, type TimelineColumns } from '../timeline/timeline.ts';
import { timelineColumns } from '../timeline/timeline-columns.ts';

/**
 * The columns less some rows, notes still paired. What is given is not changed, and handed on where nothing goes.
 * @param drop [count] 1 for a row that goes; a note-on and its note-off go together or stay together
 */
export function withoutRows(columns: TimelineColumns, drop: Uint8Array): TimelineColumns {
  let count = 0;
  const newRow = new Uint32Array(columns.count);
  for (let row = 0; row < columns.count; row += 1) {
    newRow[row] = count;
    if (drop[row] === 0) count += 1;
  }
  if (count === columns.count) return columns;
  const kept = {
    count,
    micros: sharedF64(count),
    tick: sharedU32(count),
    status: sharedU8(count),
    data1: sharedU8(count),
    data2: sharedU8(count),
    payload: sharedU32(count),
    track: sharedU16(count),
    partner: sharedU32(count),
  };
  for (let row = 0; row < columns.count; row += 1) {
    if (drop[row] === 1) continue;
    const at = newRow[row]!;
    kept.micros[at] = columns.micros[row]!;
    kept.tick[at] = columns.tick[row]!;
    kept.status[at] = columns.status[row]!;
    kept.data1[at] = columns.data1[row]!;
    kept.data2[at] = columns.data2[row]!;
    kept.payload[at] = columns.payload[row]!;
    kept.track[at] = columns.track[row]!;
    const partner = columns.partner[row]!;
    kept.partner[at] = partner === NO_PARTNER ? NO_PARTNER : newRow[partner]!;
  }
  return timelineColumns({ ...columns, ...kept });
}
