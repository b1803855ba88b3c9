import type { TimelineColumns } from '../../../src/core/timeline/timeline.ts';
import { ChannelFold } from './channel-fold.ts';

/**
 * In file order: the states that the channel of each of these note-ons has after the messages behind it in the
 * same moment. With setup first a note may begin in one of these.
 */
export function laterStates(columns: TimelineColumns, rows: ReadonlySet<number>): Map<number, string[]> {
  const receiver = new ChannelFold();
  const states = new Map<number, string[]>();
  let waiting: number[] = [];
  for (let row = 0; row < columns.count; row++) {
    if (row > 0 && columns.micros[row] !== columns.micros[row - 1]) waiting = [];
    receiver.take(columns, row);
    const status = columns.status[row]!;
    for (const onset of waiting) {
      const channel = columns.status[onset]! & 15;
      if (status >= 0xf0 || (status & 15) === channel) states.get(onset)!.push(receiver.at(channel));
    }
    if (!rows.has(row)) continue;
    waiting.push(row);
    states.set(row, []);
  }
  return states;
}
