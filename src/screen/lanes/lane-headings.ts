import { keyName } from '../../core/midi/key-names.ts';
import { laneColumnsFor } from './lane-columns.ts';

/** The line above the lanes: what each column is, and where the octaves lie. */
export function laneHeadings(width: number): string {
  const columns = laneColumnsFor(width);
  const cells = Array.from({ length: width }, () => ' ');
  const put = (at: number, text: string, end = width): void => {
    for (const [index, letter] of [...text].entries()) {
      if (at >= 0 && at + index < Math.min(end, width)) cells[at + index] = letter;
    }
  };
  put(columns.number, 'ch');
  if (columns.nameWidth > 0) put(columns.name, 'program', columns.name + columns.nameWidth);
  // Each C where there is room for its name, else every second one.
  const step = (12 * columns.stripWidth) / 128 >= 4 ? 12 : 24;
  for (let key = 12; key < 120; key += step) {
    put(
      columns.strip + Math.floor((key * columns.stripWidth) / 128),
      keyName(key),
      columns.strip + columns.stripWidth,
    );
  }
  put(columns.count, ' n');
  put(columns.pedal, 'P');
  put(columns.bend, 'bnd');
  put(columns.volume, '  vol');
  return cells.join('').trimEnd();
}
