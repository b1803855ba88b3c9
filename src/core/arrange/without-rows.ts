import { blankRows } from '../timeline/blank-rows.ts';
import { NO_PARTNER, type TimelineColumns } from '../timeline/timeline.ts';
import { copyRow } from './row-copy.ts';

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
  const kept = blankRows(count, columns);
  for (let row = 0; row < columns.count; row += 1) {
    if (drop[row] === 1) continue;
    const at = newRow[row]!;
    copyRow(columns, row, kept, at);
    const partner = columns.partner[row]!;
    kept.partner[at] = partner === NO_PARTNER ? NO_PARTNER : newRow[partner]!;
  }
  return kept;
}
