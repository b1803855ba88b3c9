import { NO_PAYLOAD } from '../smf/song.ts';
import { sharedF64, sharedU8, sharedU16, sharedU32 } from '../timeline/shared-columns.ts';
import { NO_PARTNER, type TimelineColumns } from '../timeline/timeline.ts';
import { timelineColumns } from '../timeline/timeline-columns.ts';

/** Columns of so many empty rows, without payload or partner; the payloads themselves are those of `from`. */
export function emptyRows(count: number, from: TimelineColumns): TimelineColumns {
  return timelineColumns({
    ...from,
    count,
    micros: sharedF64(count),
    tick: sharedU32(count),
    status: sharedU8(count),
    data1: sharedU8(count),
    data2: sharedU8(count),
    payload: sharedU32(count).fill(NO_PAYLOAD),
    track: sharedU16(count),
    partner: sharedU32(count).fill(NO_PARTNER),
  });
}

/** Copies a row, all but its partner: that is a row number, and rows move. */
export function copyRow(from: TimelineColumns, row: number, to: TimelineColumns, at: number): void {
  to.micros[at] = from.micros[row]!;
  to.tick[at] = from.tick[row]!;
  to.status[at] = from.status[row]!;
  to.data1[at] = from.data1[row]!;
  to.data2[at] = from.data2[row]!;
  to.payload[at] = from.payload[row]!;
  to.track[at] = from.track[row]!;
}
