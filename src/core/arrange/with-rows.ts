import { blankRows } from '../timeline/blank-rows.ts';
import { NO_PARTNER, type TimelineColumns } from '../timeline/timeline.ts';
import { copyRow } from './row-copy.ts';

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
  const out = blankRows(columns.count + added.length, columns);
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
    copyRow(columns, row, out, at);
    at += 1;
  }
  for (let row = 0; row < columns.count; row += 1) {
    const partner = columns.partner[row]!;
    if (partner !== NO_PARTNER) out.partner[newRow[row]!] = newRow[partner]!;
  }
  return out;
}
