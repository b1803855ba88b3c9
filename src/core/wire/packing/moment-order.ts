import type { TimelineColumns } from '../../timeline/timeline.ts';
import { isNoteOff, isNoteOn } from '../note-row.ts';
import { withColumns } from '../with-columns.ts';
import { isGlide, isHoldPedal, isPlainState } from './controller-rules.ts';

/** Places within a moment, in this order. */
const RELEASES = 0;
const SETUP = 1;
const REST = 2;

/**
 * The order of rows that packing starts from: the timeline's, but within one moment
 *
 * - the note-offs of notes struck earlier stand first. A note that ends now does not need the volume, bend or
 *   program that is set now; set after it has ended, they cannot be heard on it. Note-offs stay behind pedals,
 *   mode messages and SysEx, for these decide what a note-off does;
 * - with `setupFirst`, a channel's controllers, bends and pressure stand before its notes, as if the file had
 *   been written so. Never a program or bank that comes between two notes, nor anything behind it.
 */
export function momentOrder(columns: TimelineColumns, setupFirst: boolean): Uint32Array {
  const { count, micros, status, data1, data2 } = columns;
  const order = new Uint32Array(count);
  const place = new Uint8Array(count);
  const struckAt = new Uint32Array(2048);
  const strict = new Uint8Array(16);
  /** Moment in which the channel last had a note-on; had something that keeps note-offs, setups in their place. */
  const sounded = new Uint32Array(16);
  const keepsReleases = new Uint32Array(16);
  const keepsSetup = new Uint32Array(16);
  let moment = 0;
  for (let from = 0, to = 0; from < count; from = to) {
    moment++;
    let releases = 0;
    let setups = 0;
    // SysEx ends a moment too: nothing passes it.
    for (let ends = false; to < count && !ends && micros[to] === micros[from]; to++) {
      const channel = status[to]! & 0x0f;
      const key = channel * 128 + data1[to]!;
      place[to] = REST;
      if (status[to]! >= 0xf0) {
        ends = true;
      } else if (isNoteOn(columns, to)) {
        struckAt[key] = moment;
        sounded[channel] = moment;
      } else if (isNoteOff(columns, to)) {
        if (keepsReleases[channel] === moment || struckAt[key] === moment || strict[channel] === 1) {
          keepsSetup[channel] = moment;
        } else {
          place[to] = RELEASES;
          releases++;
        }
      } else {
        if ((status[to]! & 0xf0) === 0xb0) {
          if (isHoldPedal(data1[to]!) || data1[to]! >= 120) keepsReleases[channel] = moment;
          if (isGlide(data1[to]!, data2[to]!)) {
            strict[channel] = 1;
            keepsReleases[channel] = moment;
          }
        }
        const isAhead = sounded[channel] !== moment || isPlainState(status[to]!, data1[to]!);
        if (setupFirst && strict[channel] === 0 && isAhead && keepsSetup[channel] !== moment) {
          place[to] = SETUP;
          setups++;
        } else {
          keepsSetup[channel] = moment;
        }
      }
    }
    let release = from;
    let setup = from + releases;
    let rest = setup + setups;
    for (let row = from; row < to; row++) {
      if (place[row] === RELEASES) order[release++] = row;
      else if (place[row] === SETUP) order[setup++] = row;
      else order[rest++] = row;
    }
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
  return withColumns(columns, { status, data1, data2, payload });
}
