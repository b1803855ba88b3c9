import type { WritableSong } from '../../smf/file-event.ts';
import { Meta } from '../../smf/meta-kinds.ts';
import type { Song } from '../../smf/song.ts';
import { SongColumns } from '../../smf/song-columns.ts';
import { mergedMetas } from '../../timeline/merge-tracks.ts';
import { payloadOf } from '../../timeline/payload-rows.ts';
import type { Timeline, TimelineColumns } from '../../timeline/timeline.ts';
import { type FitMarks, GENERAL_MARKS, MOST_MARK_BYTES, marksOf, marksText } from './fit-marks.ts';

interface MetaEvent {
  readonly tick: number;
  readonly type: number;
  readonly bytes: Uint8Array;
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
  const tracks = song.trackStart.length - 1;
  const metas: MetaEvent[][] = Array.from({ length: tracks }, () => []);
  const ends = new Float64Array(tracks);
  ends[0] = endTick;
  if (marksText(marks) !== marksText(GENERAL_MARKS)) metas[0]!.push(markEvent(marks));
  addMetas(song, metas, ends);
  const rows = rowsByTrack(columns, tracks);
  for (const [track, list] of metas.entries()) {
    const last = rows[track]!.at(-1);
    const tick = Math.max(ends[track]!, last === undefined ? 0 : columns.tick[last]!);
    list.push({ tick, type: Meta.endOfTrack, bytes: new Uint8Array(0) });
  }
  return written(song, columns, rows, metas);
}

function markEvent(marks: FitMarks): MetaEvent {
  const bytes = Uint8Array.from(marksText(marks), (letter) => letter.charCodeAt(0));
  return { tick: 0, type: Meta.text, bytes };
}

function addMetas(song: Song, events: MetaEvent[][], ends: Float64Array): void {
  const metas = mergedMetas(song);
  const { data1, payload } = song.events;
  for (let at = 0; at < metas.count; at += 1) {
    const row = metas.row[at]!;
    const tick = metas.tick[at]!;
    const track = metas.track[at]!;
    const type = data1[row]!;
    ends[track] = Math.max(ends[track]!, tick);
    const bytes = songBytesOf(song, payload[row]!);
    if (type === Meta.endOfTrack || (type === Meta.text && isMark(bytes))) continue;
    events[track]!.push({ tick, type, bytes });
  }
}

function isMark(bytes: Uint8Array): boolean {
  return bytes.length <= MOST_MARK_BYTES && marksOf(String.fromCharCode(...bytes)) !== undefined;
}

function songBytesOf({ bytes, payloads }: Song, payload: number): Uint8Array {
  const start = payloads.start[payload]!;
  return bytes.subarray(start, start + payloads.length[payload]!);
}

/** [tracks] rows in their order. */
function rowsByTrack({ count, track }: TimelineColumns, tracks: number): Uint32Array[] {
  const counts = new Uint32Array(tracks);
  const of = (row: number) => Math.min(tracks - 1, track[row]!);
  for (let row = 0; row < count; row += 1) counts[of(row)]! += 1;
  const rows = Array.from(counts, (length) => new Uint32Array(length));
  counts.fill(0);
  for (let row = 0; row < count; row += 1) {
    const at = of(row);
    rows[at]![counts[at]!] = row;
    counts[at]! += 1;
  }
  return rows;
}

/** The tracks as a song has them: what describes comes before what is sent at its tick, the end of the track last. */
function written(
  song: Song,
  columns: TimelineColumns,
  rows: readonly Uint32Array[],
  metas: readonly (readonly MetaEvent[])[],
): WritableSong {
  const { tick, status, data1, data2 } = columns;
  const into = new SongColumns(metas.reduce((sum, { length }) => sum + length, columns.count));
  const payloads: Uint8Array[] = [];
  let filled = 0;
  const addPayload = (at: number, kind: number, type: number, bytes: Uint8Array): void => {
    into.addPayload(at, kind, type, filled, bytes.length);
    payloads.push(bytes);
    filled += bytes.length;
  };
  const addRow = (row: number): void => {
    if (status[row]! < 0xf0) {
      into.addChannel(tick[row]!, status[row]!, data1[row]!, data2[row]!);
      return;
    }
    addPayload(tick[row]!, status[row]!, 0, payloadOf(columns, row));
  };
  for (const [track, own] of rows.entries()) {
    const described = metas[track]!;
    const addMeta = ({ tick: at, type, bytes }: MetaEvent) => addPayload(at, 0xff, type, bytes);
    let next = 0;
    into.beginTrack();
    for (const row of own) {
      while (next < described.length - 1 && described[next]!.tick <= tick[row]!) addMeta(described[next++]!);
      addRow(row);
    }
    while (next < described.length) addMeta(described[next++]!);
  }
  const bytes = new Uint8Array(filled);
  const places = into.payloads();
  for (const [at, own] of payloads.entries()) bytes.set(own, places.start[at]!);
  return {
    format: song.format === 2 ? 1 : song.format,
    division: song.division,
    events: into.events(),
    payloads: places,
    trackStart: into.trackStarts(),
    bytes,
  };
}
