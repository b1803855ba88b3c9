import { payloadKindsOf } from '../../../src/core/timeline/payload-kinds.ts';
import { payloadRows } from '../../../src/core/timeline/payload-rows.ts';
import { NO_PARTNER, type TimelineColumns } from '../../../src/core/timeline/timeline.ts';

/** A moment and the messages that are due then, in file order: `[micros, '90 3C 40', 'F0 7E 7F 09 01 F7']`. */
export type Moment = readonly [micros: number, ...messages: string[]];

/** Timeline columns from annotated hex; moments in order of time. Notes are paired first in, first out. */
export function columnsOf(...moments: Moment[]): TimelineColumns {
  const rows = moments.flatMap(([micros, ...messages]) =>
    messages.map((hex) => ({
      micros,
      bytes: hex
        .trim()
        .split(/\s+/)
        .map((byte) => Number.parseInt(byte, 16)),
    })),
  );
  return columnsOfRows(rows);
}

export interface MessageRow {
  readonly micros: number;
  readonly bytes: readonly number[];
}

export function columnsOfRows(rows: readonly MessageRow[]): TimelineColumns {
  const count = rows.length;
  const payloads: number[][] = [];
  const columns = {
    count,
    micros: Float64Array.from(rows, (row) => row.micros),
    tick: Uint32Array.from(rows, (row) => Math.round(row.micros / 1000)),
    status: Uint8Array.from(rows, (row) => row.bytes[0]!),
    data1: Uint8Array.from(rows, (row) => (row.bytes[0]! < 0xf0 ? row.bytes[1]! : 0)),
    data2: Uint8Array.from(rows, (row) => (row.bytes[0]! < 0xf0 ? (row.bytes[2] ?? 0) : 0)),
    payload: Uint32Array.from(rows, (row) => {
      if (row.bytes[0]! < 0xf0) return 0;
      payloads.push(row.bytes.slice(1));
      return payloads.length - 1;
    }),
    track: new Uint16Array(count),
    partner: new Uint32Array(count).fill(NO_PARTNER),
    payloadBytes: Uint8Array.from(payloads.flat()),
    payloadStart: new Uint32Array(payloads.length),
    payloadLength: Uint32Array.from(payloads, (bytes) => bytes.length),
    payloadKind: new Uint8Array(payloads.length),
  };
  for (let i = 1; i < payloads.length; i++) {
    columns.payloadStart[i] = columns.payloadStart[i - 1]! + columns.payloadLength[i - 1]!;
  }
  columns.payloadKind.set(payloadKindsOf(columns, payloadRows(columns.status)));
  pairNotes(columns);
  return columns;
}

function pairNotes(columns: TimelineColumns): void {
  const open = new Map<number, number[]>();
  for (let row = 0; row < columns.count; row++) {
    const status = columns.status[row]!;
    const kind = status & 0xf0;
    if (kind !== 0x80 && kind !== 0x90) continue;
    const note = (status & 15) * 128 + columns.data1[row]!;
    const waiting = open.get(note) ?? [];
    open.set(note, waiting);
    if (kind === 0x90 && columns.data2[row]! > 0) {
      waiting.push(row);
    } else {
      const on = waiting.shift();
      if (on === undefined) continue;
      columns.partner[on] = row;
      columns.partner[row] = on;
    }
  }
}
