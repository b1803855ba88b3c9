import type { TimelineColumns } from '../timeline/timeline.ts';

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
