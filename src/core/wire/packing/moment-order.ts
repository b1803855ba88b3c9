import type { TimelineColumns } from '../../timeline/timeline.ts';
import { isNoteOff, isNoteOn } from '../note-row.ts';
import { isGlide, isHoldPedal } from './controller-rules.ts';

/**
 * The order of rows that packing starts from: the timeline's, but within one moment the note-offs of notes
 * that were struck earlier stand first. A note that ends now does not need the volume, bend or program that
 * is set now; set after it has ended, they cannot be heard on it. Note-offs stay behind pedals, mode
 * messages and SysEx, for these decide what a note-off does.
 */
export function releasesFirst(columns: TimelineColumns): Uint32Array {
  const { count, micros, status, data1, data2 } = columns;
  const order = new Uint32Array(count);
  const strict = new Uint8Array(16);
  const struckAt = new Uint32Array(2048);
  const blocked = new Uint32Array(16);
  const stays = new Uint8Array(count);
  let from = 0;
  let moment = 0;
  while (from < count) {
    moment++;
    const due = micros[from]!;
    let to = from;
    let hoisted = 0;
    for (; to < count && micros[to] === due; to++) {
      const channel = status[to]! & 0x0f;
      const key = channel * 128 + data1[to]!;
      stays[to] = 1;
      if (status[to]! >= 0xf0) {
        blocked.fill(moment);
      } else if (isNoteOn(columns, to)) {
        struckAt[key] = moment;
      } else if (isNoteOff(columns, to)) {
        if (blocked[channel] === moment || struckAt[key] === moment || strict[channel]) continue;
        stays[to] = 0;
        order[from + hoisted++] = to;
      } else if ((status[to]! & 0xf0) === 0xb0) {
        if (isHoldPedal(data1[to]!) || data1[to]! >= 120) blocked[channel] = moment;
        if (isGlide(data1[to]!, data2[to]!)) {
          strict[channel] = 1;
          blocked[channel] = moment;
        }
      }
    }
    let at = from + hoisted;
    for (let row = from; row < to; row++) if (stays[row] === 1) order[at++] = row;
    from = to;
  }
  return order;
}

/** The columns with their rows in another order (only what packing reads; payloads stay where they are). */
export function reordered(columns: TimelineColumns, order: Uint32Array): TimelineColumns {
  const { count } = columns;
  const status = new Uint8Array(count);
  const data1 = new Uint8Array(count);
  const data2 = new Uint8Array(count);
  const payload = new Uint32Array(count);
  for (let i = 0; i < count; i++) {
    const row = order[i]!;
    status[i] = columns.status[row]!;
    data1[i] = columns.data1[row]!;
    data2[i] = columns.data2[row]!;
    payload[i] = columns.payload[row]!;
  }
  return { ...columns, status, data1, data2, payload };
}
