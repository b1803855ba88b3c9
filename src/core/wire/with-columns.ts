import type { TimelineColumns } from '../timeline/timeline.ts';

/**
 * Columns with some of them replaced. Each field is named, in one order, so that all such objects are of one
 * hidden class: the loops over rows are compiled for it once (a spread makes classes of its own, and checking
 * a folder then compiles them again and again).
 */
export function withColumns(columns: TimelineColumns, changed: Partial<TimelineColumns>): TimelineColumns {
  return {
    count: changed.count ?? columns.count,
    micros: changed.micros ?? columns.micros,
    tick: changed.tick ?? columns.tick,
    status: changed.status ?? columns.status,
    data1: changed.data1 ?? columns.data1,
    data2: changed.data2 ?? columns.data2,
    payload: changed.payload ?? columns.payload,
    track: changed.track ?? columns.track,
    partner: changed.partner ?? columns.partner,
    payloadBytes: changed.payloadBytes ?? columns.payloadBytes,
    payloadStart: changed.payloadStart ?? columns.payloadStart,
    payloadLength: changed.payloadLength ?? columns.payloadLength,
  };
}
