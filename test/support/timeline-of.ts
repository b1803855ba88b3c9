import { blankRows } from '../../src/core/timeline/blank-rows.ts';
import { payloadKindsOf } from '../../src/core/timeline/payload-kinds.ts';
import { payloadRows } from '../../src/core/timeline/payload-rows.ts';
import type { TimelineColumns } from '../../src/core/timeline/timeline.ts';
import type { SendPlan } from '../../src/core/wire/send-plan.ts';

/** A message at a song time: `[micros, ...bytes]`; SysEx as F0 … F7. */
export type TimedBytes = readonly [micros: number, ...bytes: number[]];

/** Timeline columns from messages written out in a test; sorted by time, first on paired with first off. */
export function timelineOf(messages: readonly TimedBytes[]): TimelineColumns {
  const rows = messages.map((message, order) => ({ message, order }));
  rows.sort((a, b) => a.message[0] - b.message[0] || a.order - b.order);
  const count = rows.length;
  const sysEx = rows.filter(({ message }) => message[1]! >= 0xf0).map(({ message }) => message.slice(2));
  const columns = blankRows(count, {
    payloadBytes: Uint8Array.from(sysEx.flat()),
    payloadStart: new Uint32Array(sysEx.length),
    payloadLength: new Uint32Array(sysEx.length),
    payloadKind: new Uint8Array(sysEx.length),
  });
  let payload = 0;
  let start = 0;
  const waiting = new Map<number, number[]>();
  for (const [row, { message }] of rows.entries()) {
    const [micros, status, data1 = 0, data2 = 0] = message;
    columns.micros[row] = micros;
    columns.tick[row] = Math.round(micros / 1000);
    columns.status[row] = status!;
    if (status! >= 0xf0) {
      columns.payload[row] = payload;
      columns.payloadStart[payload] = start;
      columns.payloadLength[payload] = message.length - 2;
      start += message.length - 2;
      payload += 1;
      continue;
    }
    columns.data1[row] = data1;
    columns.data2[row] = data2;
    const kind = status! & 0xf0;
    if (kind !== 0x90 && kind !== 0x80) continue;
    const voice = (status! & 0x0f) * 128 + data1;
    const queue = waiting.get(voice) ?? [];
    waiting.set(voice, queue);
    if (kind === 0x90 && data2 > 0) {
      queue.push(row);
      continue;
    }
    const on = queue.shift();
    if (on === undefined) continue;
    columns.partner[on] = row;
    columns.partner[row] = on;
  }
  columns.payloadKind.set(payloadKindsOf(columns, payloadRows(columns.status)));
  return columns;
}

/** A plan in file order, or in the order and at the times given for each timeline row. */
export function planOf(
  columns: TimelineColumns,
  releases: ReadonlyMap<number, number> = new Map(),
): SendPlan {
  const rows = Array.from({ length: columns.count }, (_, row) => ({
    row,
    release: releases.get(row) ?? columns.micros[row]!,
  }));
  rows.sort((a, b) => a.release - b.release || a.row - b.row);
  return {
    kind: releases.size > 0 ? 'packed' : 'file-order',
    columns,
    count: columns.count,
    event: Uint32Array.from(rows, ({ row }) => row),
    releaseMicros: Float64Array.from(rows, ({ release }) => release),
  };
}
