import { copyRow } from '../arrange/row-copy.ts';
import { blankRows } from '../timeline/blank-rows.ts';
import { isNoteOff, isNoteOn } from '../timeline/note-row.ts';
import { NO_PARTNER, type Timeline } from '../timeline/timeline.ts';

/**
 * The song from one song time to another (µs, both included), as a song: what is set before it is set in it as well, and
 * a note that ends after `offsTo` has no end in it.
 */
export function songPart(
  timeline: Timeline,
  fromMicros: number,
  toMicros: number,
  offsTo = toMicros,
): Timeline {
  const { columns } = timeline;
  const { count, micros, partner } = columns;
  const newRow = new Uint32Array(count).fill(NO_PARTNER);
  let kept = 0;
  for (let row = 0; row < count && micros[row]! <= toMicros; row += 1) {
    const isOn = isNoteOn(columns, row);
    const isOff = isNoteOff(columns, row);
    if (isOn && micros[row]! < fromMicros) continue;
    if (
      isOff &&
      (micros[row]! > offsTo || partner[row] === NO_PARTNER || newRow[partner[row]!] === NO_PARTNER)
    )
      continue;
    newRow[row] = kept;
    kept += 1;
  }
  const part = blankRows(kept, columns);
  for (let row = 0; row < count && micros[row]! <= toMicros; row += 1) {
    const at = newRow[row]!;
    if (at === NO_PARTNER) continue;
    copyRow(columns, row, part, at);
    const other = partner[row]!;
    part.partner[at] = other === NO_PARTNER ? NO_PARTNER : newRow[other]!;
  }
  return { ...timeline, columns: part };
}
