import { pairAnew } from '../../../../src/core/arrange/fit/pair-anew.ts';
import { RowEdits, type SongEnd } from '../../../../src/core/arrange/fit/row-edits.ts';
import type { TimelineColumns } from '../../../../src/core/timeline/timeline.ts';
import { columnsOfRows } from '../../wire/columns-of.ts';

/** Where the songs of these tests end: a tick is a millisecond. */
export const END: SongEnd = { tick: 9000, micros: 9_000_000, microsAt: (tick) => tick * 1000 };

/** Columns of messages as text, at ticks of a millisecond: `10 90 3C 40`; in track 2: `10/2 90 3C 40`. */
export function columnsOfText(...lines: readonly string[]): TimelineColumns {
  const rows = lines.map((line) => {
    const [moment, ...bytes] = line.trim().split(/\s+/);
    const [tick, track = 0] = moment!.split('/').map(Number);
    return { tick: tick!, track, bytes: bytes.map((byte) => Number.parseInt(byte, 16)) };
  });
  rows.sort((a, b) => a.tick - b.tick || a.track - b.track);
  const columns = columnsOfRows(rows.map(({ tick, bytes }) => ({ micros: tick * 1000, bytes })));
  for (const [row, { track }] of rows.entries()) columns.track[row] = track;
  pairAnew(columns);
  return columns;
}

/** The same the other way round. */
export function textOf(columns: TimelineColumns): string[] {
  const { tick, track, status, data1, data2, payload, payloadStart, payloadLength, payloadBytes } = columns;
  return Array.from({ length: columns.count }, (_, row) => {
    const start = payloadStart[payload[row]!]!;
    const data =
      status[row]! >= 0xf0
        ? payloadBytes.subarray(start, start + payloadLength[payload[row]!]!)
        : [data1[row]!, data2[row]!].slice(0, isOfOneByte(status[row]!) && data2[row] === 0 ? 1 : 2);
    const hex = [status[row]!, ...data].map((byte) => byte.toString(16).toUpperCase().padStart(2, '0'));
    return [track[row] === 0 ? tick[row] : `${tick[row]}/${track[row]}`, ...hex].join(' ');
  });
}

/** Program Change and Channel Pressure (MIDI 1.0, Table II). */
function isOfOneByte(status: number): boolean {
  return [0xc0, 0xd0].includes(status & 0xf0);
}

/** What a stage tells of rows, and the rows it makes of them. */
export function edited<Fit>(
  lines: readonly string[],
  stage: (columns: TimelineColumns, edits: RowEdits) => Fit,
): { readonly fit: Fit; readonly rows: string[]; readonly isEmpty: boolean } {
  const columns = columnsOfText(...lines);
  const edits = new RowEdits(columns);
  const fit = stage(columns, edits);
  return { fit, isEmpty: edits.isEmpty, rows: textOf(edits.made(END).columns) };
}
