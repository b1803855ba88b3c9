import { blankRows } from '../../timeline/blank-rows.ts';
import { sharedU8 } from '../../timeline/shared-columns.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { copyRow } from '../row-copy.ts';
import type { SeatFit } from './fit-seat.ts';
import { pairAnew } from './pair-anew.ts';
import { NEW_ROW } from './row-edits.ts';

/** Past every row of the song: new rows after the last one of their tick and track. */
const AT_THE_END = 0xffff_ffff;

/** The rows of one instrument on their way into the song. */
interface Stream {
  readonly columns: TimelineColumns;
  /** [rows] row of the song that each was, NEW_ROW for one that was put in. */
  readonly was: Uint32Array;
  /** [rows] row of the song before which it stands, or which it is. */
  readonly place: Uint32Array;
  at: number;
}

/**
 * The song again, of what each instrument gets. What nobody gets stays as it was; a system message, which all get,
 * stays where one of them kept it. Rows stand by tick, then by track, then as written; the song's own columns are
 * handed on where nothing was changed.
 * @param fits no channel in two of them
 */
export function seatsTogether(song: TimelineColumns, fits: readonly SeatFit[]): TimelineColumns {
  if (fits.every(({ fitted, written }) => fitted.columns === written)) return song;
  const [only] = fits;
  if (fits.length === 1 && only!.written === song) return only!.fitted.columns;
  const streams = [...fits.map(streamOf), restOf(song, fits)];
  const taken: { columns: TimelineColumns; row: number }[] = [];
  let last = NEW_ROW;
  for (let next = firstOf(streams); next !== undefined; next = firstOf(streams)) {
    const { columns, was, at } = next;
    next.at += 1;
    // A system message comes once from each that kept it, one right after the other; one that was exchanged wins.
    if (was[at] !== NEW_ROW && was[at] === last) {
      if (columns.payloadBytes !== song.payloadBytes) taken[taken.length - 1] = { columns, row: at };
      continue;
    }
    if (was[at] !== NEW_ROW) last = was[at]!;
    taken.push({ columns, row: at });
  }
  const payloadBytes = sharedU8(song.payloadBytes.length);
  payloadBytes.set(song.payloadBytes);
  const together = blankRows(taken.length, { ...song, payloadBytes });
  for (const [at, { columns, row }] of taken.entries()) {
    copyRow(columns, row, together, at);
    if (columns.status[row]! < 0xf0) continue;
    const payload = columns.payload[row]!;
    const start = columns.payloadStart[payload]!;
    const length = columns.payloadLength[payload]!;
    payloadBytes.set(columns.payloadBytes.subarray(start, start + length), start);
  }
  if (isSame(together, song)) return song;
  pairAnew(together);
  return together;
}

/** One may have left out what another kept. */
function isSame(one: TimelineColumns, other: TimelineColumns): boolean {
  const isEqual = (a: ArrayLike<number>, b: ArrayLike<number>) => {
    for (let at = 0; at < a.length; at += 1) if (a[at] !== b[at]) return false;
    return a.length === b.length;
  };
  return (
    one.count === other.count &&
    (['tick', 'track', 'status', 'data1', 'data2', 'payload', 'payloadBytes'] as const).every((column) =>
      isEqual(one[column], other[column]),
    )
  );
}

function streamOf({ fitted: { columns, origin }, rowOf }: SeatFit): Stream {
  const was = origin.map((row) => (row === NEW_ROW ? NEW_ROW : rowOf[row]!));
  const place = was.slice();
  for (let row = columns.count - 1; row >= 0; row -= 1) {
    if (was[row] !== NEW_ROW) continue;
    place[row] = isSameMoment(columns, row, row + 1) ? place[row + 1]! : AT_THE_END;
  }
  return { columns, was, place, at: 0 };
}

function isSameMoment({ count, tick, track }: TimelineColumns, row: number, next: number): boolean {
  return next < count && tick[next] === tick[row] && track[next] === track[row];
}

/** What goes to none of the instruments. */
function restOf(song: TimelineColumns, fits: readonly SeatFit[]): Stream {
  const isGiven = new Uint8Array(song.count);
  for (const { rowOf } of fits) for (const row of rowOf) isGiven[row] = 1;
  const rows = Uint32Array.from({ length: song.count }, (_, row) => row).filter((row) => !isGiven[row]);
  const columns = blankRows(rows.length, song);
  for (const [at, row] of rows.entries()) copyRow(song, row, columns, at);
  return { columns, was: rows, place: rows, at: 0 };
}

function firstOf(streams: readonly Stream[]): Stream | undefined {
  let first: Stream | undefined;
  for (const stream of streams) {
    if (stream.at >= stream.columns.count) continue;
    if (first === undefined || isBefore(stream, first)) first = stream;
  }
  return first;
}

function isBefore(one: Stream, other: Stream): boolean {
  const [a, b] = [one.at, other.at];
  const order =
    one.columns.tick[a]! - other.columns.tick[b]! ||
    one.columns.track[a]! - other.columns.track[b]! ||
    one.place[a]! - other.place[b]! ||
    Number(one.was[a] !== NEW_ROW) - Number(other.was[b] !== NEW_ROW);
  return order < 0;
}
