import { blankRows, NO_PAYLOADS } from '../../core/timeline/blank-rows.ts';
import type { SendPlan } from '../../core/wire/send-plan.ts';

/**
 * A made-up song of groups, for compiling and rehearsing the sending code: notes above all, every kind of channel
 * message, all channels, fractional times. One group of GROUP rows each GROUP_MICROS.
 */
export function rehearsalPlan(groups: number): SendPlan {
  const count = groups * GROUP;
  const columns = blankRows(count, NO_PAYLOADS);
  for (let row = 0; row < count; row += 1) {
    const group = Math.floor(row / GROUP);
    const place = row % GROUP;
    const channel = (group + (place >> 2)) & 15;
    const isNote = place < NOTES * 2;
    columns.micros[row] = group * GROUP_MICROS;
    columns.status[row] = (isNote ? 0x90 : STATES[(group + place) % STATES.length]!) | channel;
    columns.data1[row] = isNote ? 40 + ((group + (place >> 1)) % 50) : 1 + (group % 10);
    columns.data2[row] = isNote && place % 2 === 1 ? 0 : 64 + (group % 16);
    if (isNote) columns.partner[row] = place % 2 === 1 ? row - 1 : row + 1;
  }
  const event = Uint32Array.from({ length: count }, (_, row) => row);
  return { kind: 'file-order', columns, count, event, releaseMicros: columns.micros };
}

/** Notes struck (and released at once) in a group, and rows of a group. */
const NOTES = 3;
export const GROUP = NOTES * 2 + 2;
export const GROUP_MICROS = 10_000.7;
const STATES = [0xb0, 0xe0, 0xb0, 0xc0, 0xb0, 0xd0];
