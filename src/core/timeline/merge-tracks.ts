import type { Song } from '../smf/song.ts';
import { interleaveTracks, type RowsPlaced } from './interleave-tracks.ts';
import type { SentColumns } from './sent-columns.ts';

/** A song in playing order: its meta events, as rows of the song; and what is sent, to be copied. */
export interface MergedTracks {
  /** Rows that are sent: all but the metas. */
  readonly count: number;
  /** Copies them. @param sent of `count` rows */
  copyTo(sent: SentColumns, placed: RowsPlaced): void;
  readonly metas: {
    readonly count: number;
    /** Row of the song's events. */
    readonly row: Uint32Array;
    readonly tick: Uint32Array;
    readonly track: Uint32Array;
  };
  /** Tick of the last event of any kind. */
  readonly endTick: number;
  /** First tick of each pattern of a format 2 song; empty for other formats. */
  readonly patternTick: readonly number[];
  /** Some tick passed 2³²−1 and was put there. */
  readonly saturated: boolean;
}

const META = 0xff;

/**
 * Merges the tracks by tick; equal ticks keep track order, then file order (a module hears what the file's
 * writer heard). Format 2 patterns are independent (SMF 1.1, section 2.2): they follow one another.
 */
export function mergeTracks(song: Song): MergedTracks {
  const { tick, ...extent } = ticksOf(song);
  const metas = metasOf(song, tick);
  return {
    count: song.events.count - metas.count,
    copyTo: (sent, placed) => interleaveTracks(song, tick, extent.endTick, sent, placed),
    metas,
    ...extent,
  };
}

/** The meta events alone, in the same order. */
export function mergedMetas(song: Song): MergedTracks['metas'] {
  return metasOf(song, ticksOf(song).tick);
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

function metasOf({ events: { status }, trackStart }: Song, tick: Uint32Array): MergedTracks['metas'] {
  const rows: number[] = [];
  // By the runtime's own search: among a million notes there are few metas.
  for (let row = status.indexOf(META); row >= 0; row = status.indexOf(META, row + 1)) rows.push(row);
  // Rows ascend with tracks and within them, so of one tick the lower row goes first.
  const row = Uint32Array.from(rows).sort((a, b) => tick[a]! - tick[b]! || a - b);
  return {
    count: rows.length,
    row,
    tick: row.map((source) => tick[source]!),
    track: row.map((source) => trackOf(source, trackStart)),
  };
}

/** The last track that begins at or before the row (tracks without events begin where the next one does). */
function trackOf(row: number, trackStart: Uint32Array): number {
  let low = 0;
  let high = trackStart.length - 2;
  while (low < high) {
    const middle = (low + high + 1) >>> 1;
    if (trackStart[middle]! <= row) low = middle;
    else high = middle - 1;
  }
  return low;
}
