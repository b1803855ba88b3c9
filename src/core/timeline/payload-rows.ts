import type { TimelineColumns } from './timeline.ts';

type Payloads = Pick<TimelineColumns, 'payload' | 'payloadBytes' | 'payloadStart' | 'payloadLength'>;

/** What a row of F0 or F7 sends, without the F0. */
export function payloadOf({ payload, payloadBytes, payloadStart, payloadLength }: Payloads, row: number) {
  const start = payloadStart[payload[row]!]!;
  return payloadBytes.subarray(start, start + payloadLength[payload[row]!]!);
}

/** Rows of F0 and F7, ascending, found by the runtime's own search: most songs have few among their many rows. */
export function payloadRows(status: Uint8Array): number[] {
  const rows: number[] = [];
  for (const kind of [0xf0, 0xf7]) {
    for (let row = status.indexOf(kind); row >= 0; row = status.indexOf(kind, row + 1)) rows.push(row);
  }
  return rows.sort((a, b) => a - b);
}
