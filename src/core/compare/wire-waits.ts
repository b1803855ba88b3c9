import type { TimelineColumns } from '../timeline/timeline.ts';
import { rowBytes } from '../wire/message-length.ts';
import { MICROS_PER_BYTE } from './heard-stream.ts';
import type { WrittenMusic } from './written-music.ts';

/**
 * How long each row of a song waits behind those before it (µs) where a player hands all over in the order of its file
 * and at its moments, with running status or without.
 */
export function wireWaits(columns: TimelineColumns, isRunning: boolean): Float64Array {
  const { count, micros, status } = columns;
  const waits = new Float64Array(count);
  let free = Number.NEGATIVE_INFINITY;
  let running = 0;
  for (let row = 0; row < count; row += 1) {
    const here = status[row]!;
    const isLeftOut = isRunning && here < 0xf0 && here === running;
    running = here < 0xf0 ? here : 0;
    const begin = Math.max(free, micros[row]!);
    waits[row] = begin - micros[row]!;
    free = begin + (rowBytes(columns, row) - (isLeftOut ? 1 : 0)) * MICROS_PER_BYTE;
  }
  return waits;
}

/**
 * [written] how long a player may have to keep each note for the wire: all that is due at its moment is sent before it, in
 * the order of the file and without running status.
 */
export function longestWaits(columns: TimelineColumns, written: WrittenMusic): Float64Array {
  const ofRow = wireWaits(columns, false);
  for (let row = columns.count - 2; row >= 0; row -= 1) {
    if (columns.micros[row] === columns.micros[row + 1]) ofRow[row] = Math.max(ofRow[row]!, ofRow[row + 1]!);
  }
  return Float64Array.from(written.row, (row) => ofRow[row]!);
}
