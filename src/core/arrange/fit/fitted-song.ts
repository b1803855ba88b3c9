import type { WritableSong } from '../../smf/file-event.ts';
import { Meta } from '../../smf/meta-kinds.ts';
import type { Song } from '../../smf/song.ts';
import { mergeTracks } from '../../timeline/merge-tracks.ts';
import type { Timeline, TimelineColumns } from '../../timeline/timeline.ts';
import { type FitMarks, GENERAL_MARKS, MOST_MARK_BYTES, marksOf, marksText } from './fit-marks.ts';

interface Event {
  readonly tick: number;
  readonly status: number;
  readonly data1: number;
  readonly data2: number;
  readonly payload: Uint8Array | undefined;
}

/**
 * Columns as a song again: each message in the track it came from, with that track's texts, tempos and meters. What
 * a format 2 song plays one after another becomes a format 1 song.
 */
export function fittedSong(
  song: Song,
  { endTick }: Timeline,
  columns: TimelineColumns,
  marks: FitMarks,
): WritableSong {
  const tracks = Math.max(1, song.trackStart.length - 1);
  const events: Event[][] = Array.from({ length: tracks }, () => []);
  const ends = new Float64Array(tracks);
  if (marksText(marks) !== marksText(GENERAL_MARKS)) events[0]!.push(markEvent(marks));
  addMetas(song, events, ends);
  for (let row = 0; row < columns.count; row += 1) {
    events[Math.min(tracks - 1, columns.track[row]!)]!.push(eventOf(columns, row));
  }
  for (const [track, list] of events.entries()) {
    list.sort((a, b) => a.tick - b.tick || rank(a) - rank(b));
    const tick = Math.max(ends[track]!, list.at(-1)?.tick ?? 0, track === 0 ? endTick : 0);
    list.push({ tick, status: 0xff, data1: Meta.endOfTrack, data2: 0, payload: new Uint8Array(0) });
  }
  return columnsOfEvents(song, events);
}

/** What describes comes before what is sent; sorting keeps the order of the rest. */
function rank({ status }: Event): number {
  return status === 0xff ? 0 : 1;
}

function markEvent(marks: FitMarks): Event {
  const payload = Uint8Array.from(marksText(marks), (letter) => letter.charCodeAt(0));
  return { tick: 0, status: 0xff, data1: Meta.text, data2: 0, payload };
}

function addMetas(song: Song, events: Event[][], ends: Float64Array): void {
  const { metas } = mergeTracks(song);
  const { data1, payload } = song.events;
  for (let at = 0; at < metas.count; at += 1) {
    const row = metas.row[at]!;
    const tick = metas.tick[at]!;
    const track = metas.track[at]!;
    const type = data1[row]!;
    ends[track] = Math.max(ends[track]!, tick);
    const bytes = payloadOf(song, payload[row]!);
    if (type === Meta.endOfTrack || (type === Meta.text && isMark(bytes))) continue;
    events[track]!.push({ tick, status: 0xff, data1: type, data2: 0, payload: bytes });
  }
}

function isMark(bytes: Uint8Array): boolean {
  return bytes.length <= MOST_MARK_BYTES && marksOf(String.fromCharCode(...bytes)) !== undefined;
}

function payloadOf({ bytes, payloads }: Song, payload: number): Uint8Array {
  const start = payloads.start[payload]!;
  return bytes.subarray(start, start + payloads.length[payload]!);
}

function eventOf(columns: TimelineColumns, row: number): Event {
  const { tick, status, data1, data2, payload, payloadBytes, payloadStart, payloadLength } = columns;
  const at = payload[row]!;
  const bytes =
    status[row]! < 0xf0
      ? undefined
      : payloadBytes.subarray(payloadStart[at]!, payloadStart[at]! + payloadLength[at]!);
  return { tick: tick[row]!, status: status[row]!, data1: data1[row]!, data2: data2[row]!, payload: bytes };
}

function columnsOfEvents(song: Song, tracks: readonly (readonly Event[])[]): WritableSong {
  const all = tracks.flat();
  const withPayload = all.filter(({ payload }) => payload !== undefined);
  const bytes = new Uint8Array(withPayload.reduce((sum, { payload }) => sum + payload!.length, 0));
  const start = new Uint32Array(withPayload.length);
  let filled = 0;
  for (const [index, { payload }] of withPayload.entries()) {
    bytes.set(payload!, filled);
    start[index] = filled;
    filled += payload!.length;
  }
  let next = 0;
  const trackStart = [0];
  for (const events of tracks) trackStart.push(trackStart.at(-1)! + events.length);
  return {
    format: song.format === 2 ? 1 : song.format,
    division: song.division,
    events: {
      count: all.length,
      tick: Uint32Array.from(all, ({ tick }) => tick),
      status: Uint8Array.from(all, ({ status }) => status),
      data1: Uint8Array.from(all, ({ data1 }) => data1),
      data2: Uint8Array.from(all, ({ data2 }) => data2),
      payload: Uint32Array.from(all, ({ payload }) => (payload === undefined ? 0 : next++)),
    },
    payloads: {
      count: withPayload.length,
      start,
      length: Uint32Array.from(withPayload, ({ payload }) => payload!.length),
    },
    trackStart: Uint32Array.from(trackStart),
    bytes,
  };
}
