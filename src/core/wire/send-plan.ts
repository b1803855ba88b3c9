import type { TimelineColumns } from '../timeline/timeline.ts';

/**
 * In which order, and at what song time, each message is handed to the wire. Rows walk in sending order:
 *
 *   event          u32  row of the timeline
 *   releaseMicros  f64  song time of the handing over; never decreasing
 *
 * Song time may be negative: a lead-in, in which what must be ready at the first beat is sent before it. A
 * player that starts at the song's beginning starts there at `min(0, releaseMicros[0])`. A note-on's release
 * is never after its musical moment, so the order also holds at other tempos.
 *
 * The musical moment stays the timeline's `micros`. A row may be released before it (a program change that
 * moved early) or after it (a note-off that made room). What waits because the wire is busy waits in the
 * wire, in this order.
 */
export interface SendPlan {
  readonly kind: 'file-order' | 'packed';
  readonly columns: TimelineColumns;
  readonly count: number;
  readonly event: Uint32Array;
  readonly releaseMicros: Float64Array;
}
