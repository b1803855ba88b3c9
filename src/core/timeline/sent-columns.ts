import type { SongEvents } from '../smf/song.ts';
import { sharedU8, sharedU16, sharedU32 } from './shared-columns.ts';

/** What a song sends, in playing order; columns as in `TimelineColumns`. */
export interface SentColumns {
  readonly count: number;
  readonly tick: Uint32Array;
  readonly status: Uint8Array;
  readonly data1: Uint8Array;
  readonly data2: Uint8Array;
  /** Row of the *song's* payloads where the status is F0 or F7; else 0, never written: a page not touched costs nothing. */
  readonly payload: Uint32Array;
  readonly track: Uint16Array;
}

const SYSEX = 0xf0;

export function newSentColumns(count: number): SentColumns {
  return {
    count,
    tick: sharedU32(count),
    status: sharedU8(count),
    data1: sharedU8(count),
    data2: sharedU8(count),
    payload: sharedU32(count),
    track: sharedU16(count),
  };
}

/** Puts row `row` of the song, of track `track`, in place `at`. */
export type RowCopy = (at: number, row: number, track: number) => void;

/** @param tick of each row of the song */
export function rowCopy(events: SongEvents, tick: Uint32Array, sent: SentColumns): RowCopy {
  const { status, data1, data2, payload } = events;
  const { tick: toTick, status: toStatus, data1: toData1, data2: toData2 } = sent;
  const { payload: toPayload, track: toTrack } = sent;
  return (at, row, track) => {
    toTick[at] = tick[row]!;
    toStatus[at] = status[row]!;
    toData1[at] = data1[row]!;
    toData2[at] = data2[row]!;
    if (status[row]! >= SYSEX) toPayload[at] = payload[row]!;
    toTrack[at] = track;
  };
}

/** Puts rows `from` … `to` − 1 of the song, all of track `track`, in the places from `at` on. */
export function copyRun(
  events: SongEvents,
  tick: Uint32Array,
  sent: SentColumns,
  at: number,
  from: number,
  to: number,
  track: number,
): void {
  sent.tick.set(tick.subarray(from, to), at);
  sent.status.set(events.status.subarray(from, to), at);
  sent.data1.set(events.data1.subarray(from, to), at);
  sent.data2.set(events.data2.subarray(from, to), at);
  sent.payload.set(events.payload.subarray(from, to), at);
  sent.track.fill(track, at, at + to - from);
}
