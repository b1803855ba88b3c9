import { NO_PAYLOAD } from '../smf/song.ts';
import { sharedF64, sharedU8, sharedU16, sharedU32 } from '../timeline/shared-columns.ts';
import { NO_PARTNER, type TimelineColumns } from '../timeline/timeline.ts';
import { timelineColumns } from '../timeline/timeline-columns.ts';

/** A message put in before a row, at that row's moment; before row `count`: at the end. */
export interface AddedRow {
  readonly before: number;
  readonly status: number;
  readonly data1: number;
  readonly data2: number;
}

/**
 * The columns with channel messages put in, notes still paired.
 * @param added ascending by `before`; those before one row keep their order
 */
export function withRows(columns: TimelineColumns, added: readonly AddedRow[]): TimelineColumns {
  if (added.length === 0) return columns;
  const count = columns.count + added.length;
  const out = {
    count,
    micros: sharedF64(count),
    tick: sharedU32(count),
    status: sharedU8(count),
    data1: sharedU8(count),
    data2: sharedU8(count),
    payload: sharedU32(count).fill(NO_PAYLOAD),
    track: sharedU16(count),
    partner: sharedU32(count).fill(NO_PARTNER),
  };
  const newRow = new Uint32Array(columns.count);
  let at = 0;
  let next = 0;
  for (let row = 0; row <= columns.count; row += 1) {
    for (; next < added.length && added[next]!.before === row; next += 1, at += 1) {
      const like = Math.min(row, columns.count - 1);
      out.micros[at] = columns.micros[like] ?? 0;
      out.tick[at] = columns.tick[like] ?? 0;
      out.track[at] = columns.track[like] ?? 0;
      out.status[at] = added[next]!.status;
      out.data1[at] = added[next]!.data1;
      out.data2[at] = added[next]!.data2;
    }
    if (row === columns.count) break;
    newRow[row] = at;
    out.micros[at] = columns.micros[row]!;
    out.tick[at] = columns.tick[row]!;
    out.status[at] = columns.status[row]!;
    out.data1[at] = columns.data1[row]!;
    out.data2[at] = columns.data2[row]!;
    out.payload[at] = columns.payload[row]!;
    out.track[at] = columns.track[row]!;
    at += 1;
  }
  for (let row = 0; row < columns.count; row += 1) {
    const partner = columns.partner[row]!;
    if (partner !== NO_PARTNER) out.partner[newRow[row]!] = newRow[partner]!;
  }
  return timelineColumns({ ...columns, ...out });
}
