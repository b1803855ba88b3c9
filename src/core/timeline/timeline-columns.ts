import type { TimelineColumns } from './timeline.ts';

/**
 * The one place where columns are put together. Each field is named, in one order, so that all such objects are
 * of one hidden class: the loops over rows are compiled for it once (spreads make classes of their own, and
 * checking a folder then compiles them again and again).
 */
export function timelineColumns(fields: TimelineColumns): TimelineColumns {
  return {
    count: fields.count,
    micros: fields.micros,
    tick: fields.tick,
    status: fields.status,
    data1: fields.data1,
    data2: fields.data2,
    payload: fields.payload,
    track: fields.track,
    partner: fields.partner,
    payloadBytes: fields.payloadBytes,
    payloadStart: fields.payloadStart,
    payloadLength: fields.payloadLength,
    payloadKind: fields.payloadKind,
  };
}
