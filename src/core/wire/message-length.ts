import type { TimelineColumns } from '../timeline/timeline.ts';

/** Whole length in bytes of a channel message: Cn and Dn have one data byte, the others two (MIDI 1.0, Table I). */
export function channelMessageBytes(status: number): number {
  const kind = status & 0xf0;
  return kind === 0xc0 || kind === 0xd0 ? 2 : 3;
}

/** Whole length in bytes of a timeline row as it goes on the wire without running status. */
export function rowBytes(columns: TimelineColumns, row: number): number {
  const status = columns.status[row]!;
  if (status < 0xf0) return channelMessageBytes(status);
  const payloadBytes = columns.payloadLength[columns.payload[row]!] ?? 0;
  return status === 0xf0 ? payloadBytes + 1 : payloadBytes;
}
