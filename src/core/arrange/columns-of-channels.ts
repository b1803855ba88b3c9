import type { TimelineColumns } from '../timeline/timeline.ts';
import { withoutRows } from './without-rows.ts';

export interface ChannelColumns {
  readonly columns: TimelineColumns;
  /** [rows] row each is of the columns they were taken from. */
  readonly rowOf: Uint32Array;
}

/**
 * What goes to a port: the messages of its channels, and all system messages. What is given is not changed, and handed
 * on where the port takes all there is.
 * @param channels 0–15
 */
export function columnsOfChannels(columns: TimelineColumns, channels: readonly number[]): ChannelColumns {
  const drop = Uint8Array.from(columns.status, (status) =>
    status < 0xf0 && !channels.includes(status & 15) ? 1 : 0,
  );
  const rows = Uint32Array.from({ length: columns.count }, (_, row) => row);
  return { columns: withoutRows(columns, drop), rowOf: rows.filter((row) => drop[row] === 0) };
}
