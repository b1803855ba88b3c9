import type { WritableSong } from '../../smf/file-event.ts';
import { Meta } from '../../smf/meta-kinds.ts';
import type { Song } from '../../smf/song.ts';
import { mergedMetas } from '../../timeline/merge-tracks.ts';
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
  const tracks = Math.max(1, song.trackStart.length - 1);
  const metas: MetaEvent[][] = Array.from({ length: tracks }, () => []);
  const ends = new Float64Array(tracks);
  ends[0] = endTick;
  if (marksText(marks) !== marksText(GENERAL_MARKS)) metas[0]!.push(markEvent(marks));
  addMetas(song, metas, ends);
  const rows = rowsByTrack(columns, tracks);
  for (const [track, list] of metas.entries()) {
    list.sort((a, b) => a.tick - b.tick);
    const last = rows[track]!.at(-1);
    const tick = Math.max(ends[track]!, last === undefined ? 0 : columns.tick[last]!);
    list.push({ tick, type: Meta.endOfTrack, bytes: new Uint8Array(0) });
  }
  return new SongColumns(song, columns, metas).written(rows);
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
    const bytes = payloadOf(song, payload[row]!);
    if (type === Meta.endOfTrack || (type === Meta.text && isMark(bytes))) continue;
    events[track]!.push({ tick, type, bytes });
  }
}

function isMark(bytes: Uint8Array): boolean {
  return bytes.length <= MOST_MARK_BYTES && marksOf(String.fromCharCode(...bytes)) !== undefined;
}

function payloadOf({ bytes, payloads }: Song, payload: number): Uint8Array {
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

/** A song's columns as they are filled, event by event. */
class SongColumns {
  readonly #song: Song;
  readonly #columns: TimelineColumns;
  readonly #metas: readonly (readonly MetaEvent[])[];
  readonly #tick: Uint32Array;
  readonly #status: Uint8Array;
  readonly #data1: Uint8Array;
  readonly #data2: Uint8Array;
  readonly #payload: Uint32Array;
  readonly #payloads: Uint8Array[] = [];
  #at = 0;

  constructor(song: Song, columns: TimelineColumns, metas: readonly (readonly MetaEvent[])[]) {
    const count = metas.reduce((sum, { length }) => sum + length, columns.count);
    this.#song = song;
    this.#columns = columns;
    this.#metas = metas;
    this.#tick = new Uint32Array(count);
    this.#status = new Uint8Array(count);
    this.#data1 = new Uint8Array(count);
    this.#data2 = new Uint8Array(count);
    this.#payload = new Uint32Array(count);
  }

  /** @param rows [tracks] what each sends, in order of time */
  written(rows: readonly Uint32Array[]): WritableSong {
    const trackStart = new Uint32Array(rows.length + 1);
    for (const [track, own] of rows.entries()) {
      this.#addTrack(own, this.#metas[track]!);
      trackStart[track + 1] = this.#at;
    }
    const start = new Uint32Array(this.#payloads.length);
    const length = Uint32Array.from(this.#payloads, (bytes) => bytes.length);
    for (let at = 1; at < start.length; at += 1) start[at] = start[at - 1]! + length[at - 1]!;
    const bytes = new Uint8Array(length.reduce((sum, one) => sum + one, 0));
    for (const [at, own] of this.#payloads.entries()) bytes.set(own, start[at]!);
    return {
      format: this.#song.format === 2 ? 1 : this.#song.format,
      division: this.#song.division,
      events: {
        count: this.#at,
        tick: this.#tick,
        status: this.#status,
        data1: this.#data1,
        data2: this.#data2,
        payload: this.#payload,
      },
      payloads: { count: start.length, start, length },
      trackStart,
      bytes,
    };
  }

  /** What describes comes before what is sent at its tick; the end of the track comes last. */
  #addTrack(rows: Uint32Array, metas: readonly MetaEvent[]): void {
    const { tick } = this.#columns;
    let next = 0;
    for (const row of rows) {
      while (next < metas.length - 1 && metas[next]!.tick <= tick[row]!) this.#addMeta(metas[next++]!);
      this.#addRow(row);
    }
    while (next < metas.length) this.#addMeta(metas[next++]!);
  }

  #addMeta({ tick, type, bytes }: MetaEvent): void {
    this.#status[this.#at] = 0xff;
    this.#data1[this.#at] = type;
    this.#add(tick, bytes);
  }

  #addRow(row: number): void {
    const { tick, status, data1, data2, payload, payloadBytes, payloadStart, payloadLength } = this.#columns;
    this.#status[this.#at] = status[row]!;
    this.#data1[this.#at] = data1[row]!;
    this.#data2[this.#at] = data2[row]!;
    const at = payload[row]!;
    const start = payloadStart[at]!;
    const isLong = status[row]! >= 0xf0;
    this.#add(tick[row]!, isLong ? payloadBytes.subarray(start, start + payloadLength[at]!) : undefined);
  }

  #add(tick: number, payload: Uint8Array | undefined): void {
    this.#tick[this.#at] = tick;
    if (payload !== undefined) this.#payload[this.#at] = this.#payloads.push(payload) - 1;
    this.#at += 1;
  }
}
