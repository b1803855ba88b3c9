import type { Song } from '../smf/song.ts';
import { orderByTick } from './order-by-tick.ts';
import { sharedU8, sharedU16, sharedU32 } from './shared-columns.ts';

/** A song's rows in playing order: what is sent, as columns; and its meta events, as rows of the song. */
export interface MergedRows {
  readonly sent: SentColumns;
  readonly metas: {
    readonly count: number;
    /** Row of the song's events. */
    readonly row: Uint32Array;
    readonly tick: Uint32Array;
    readonly track: Uint16Array;
  };
  /** Tick of the last event of any kind. */
  readonly endTick: number;
  /** First tick of each pattern of a format 2 song; empty for other formats. */
  readonly patternTick: readonly number[];
  /** Some tick passed 2³²−1 and was put there. */
  readonly saturated: boolean;
}

export interface SentColumns {
  readonly count: number;
  readonly tick: Uint32Array;
  readonly status: Uint8Array;
  readonly data1: Uint8Array;
  readonly data2: Uint8Array;
  /** Row of the *song's* payloads. */
  readonly payload: Uint32Array;
  readonly track: Uint16Array;
  /** Not filled yet: it served as a place to sort in. */
  readonly partner: Uint32Array;
}

const META = 0xff;

/**
 * Merges the tracks by tick; equal ticks keep track order, then file order (a module hears what the file's
 * writer heard). Format 2 patterns are independent (SMF 1.1, section 2.2): they follow one another.
 */
export function mergeTracks(song: Song): MergedRows {
  const { status, count } = song.events;
  const metaCount = countOf(status, count, META);
  const sent = newColumns(count - metaCount);
  const { tick, endTick, patternTick, saturated } = ticksOf(song);
  const track = trackOfRows(song);

  const metaRows = new Uint32Array(metaCount);
  let next = 0;
  for (let row = 0; row < count; row += 1) if (status[row] === META) metaRows[next++] = row;
  fillColumns(sent, song, tick, track, endTick);
  const row = orderByTick(metaRows, new Uint32Array(metaCount), tick, 0);
  const metas = {
    count: metaCount,
    row,
    tick: row.map((source) => tick[source]!),
    track: Uint16Array.from(row, (source) => track[source]!),
  };
  return { sent, metas, endTick, patternTick, saturated };
}

function newColumns(count: number): SentColumns {
  return {
    count,
    tick: sharedU32(count),
    status: sharedU8(count),
    data1: sharedU8(count),
    data2: sharedU8(count),
    payload: sharedU32(count),
    track: sharedU16(count),
    partner: sharedU32(count),
  };
}

/**
 * Sorts and copies in stretches of ticks that hold some thousand rows, so that everything a stretch touches
 * stays in the processor's cache (measured on a million notes in 16 tracks: 3x faster than sorting all at once).
 */
function fillColumns(
  sent: SentColumns,
  { events, trackStart }: Song,
  tick: Uint32Array,
  track: Uint16Array,
  endTick: number,
): void {
  const { count, partner, payload } = sent;
  const { tick: sentTick, status: sentStatus, data1: sentData1, data2: sentData2, track: sentTrack } = sent;
  const { status, data1, data2, payload: sourcePayload } = events;
  const cursor = trackStart.slice(0, -1);
  const stride = strideOf(endTick, events.count);
  let from = 0;
  for (let start = 0; from < count; ) {
    // The rows of the stretch are gathered and sorted in columns that are filled later.
    let to = from;
    let nextStart = Number.POSITIVE_INFINITY;
    for (let index = 0; index < cursor.length; index += 1) {
      const end = trackStart[index + 1]!;
      let row = cursor[index]!;
      for (; row < end && tick[row]! < start + stride; row += 1) {
        if (status[row] !== META) partner[to++] = row;
      }
      cursor[index] = row;
      if (row < end) nextStart = Math.min(nextStart, tick[row]!);
    }
    const order = orderByTick(partner.subarray(from, to), payload.subarray(from, to), tick, start);
    for (let at = from; at < to; at += 1) {
      const row = order[at - from]!; // read before payload, where it may lie, is written
      sentTick[at] = tick[row]!;
      sentStatus[at] = status[row]!;
      sentData1[at] = data1[row]!;
      sentData2[at] = data2[row]!;
      sentTrack[at] = track[row]!;
      payload[at] = sourcePayload[row]!;
    }
    from = to;
    start = nextStart;
  }
}

const ROWS_PER_STRETCH = 4096;

function strideOf(endTick: number, rows: number): number {
  return Math.max(1, Math.ceil((endTick * ROWS_PER_STRETCH) / Math.max(1, rows)));
}

/** Ticks by source row; those of format 2 count on from pattern to pattern. */
function ticksOf({ format, events, trackStart }: Song) {
  const patterns = format === 2;
  const tick = patterns ? events.tick.slice(0, events.count) : events.tick;
  const patternTick: number[] = [];
  const lastTick = 0xffff_ffff;
  let endTick = 0;
  for (let track = 0; track + 1 < trackStart.length; track += 1) {
    const [from, to] = [trackStart[track]!, trackStart[track + 1]!];
    const length = to > from ? events.tick[to - 1]! : 0;
    if (patterns) {
      patternTick.push(Math.min(endTick, lastTick));
      for (let row = from; row < to; row += 1) tick[row] = Math.min(tick[row]! + endTick, lastTick);
      endTick += length;
    } else endTick = Math.max(endTick, length);
  }
  return { tick, patternTick, endTick: Math.min(endTick, lastTick), saturated: endTick > lastTick };
}

/** Track of each source row. A header can say no more than 65,535 tracks, so 16 bits hold it. */
function trackOfRows({ events, trackStart }: Song): Uint16Array {
  const tracks = new Uint16Array(events.count);
  for (let track = 1; track + 1 < trackStart.length; track += 1) {
    tracks.fill(track, trackStart[track]!, trackStart[track + 1]!);
  }
  return tracks;
}

function countOf(column: Uint8Array, count: number, value: number): number {
  let found = 0;
  for (let row = 0; row < count; row += 1) if (column[row] === value) found += 1;
  return found;
}
