import type { Song } from '../smf/song.ts';
import { interleaveTracks } from './interleave-tracks.ts';
import { orderByTick } from './order-by-tick.ts';
import { newSentColumns, type SentColumns } from './sent-columns.ts';

/** A song's rows in playing order: what is sent, as columns; and its meta events, as rows of the song. */
export interface MergedRows {
  readonly sent: SentColumns;
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
export function mergeTracks(song: Song): MergedRows {
  const { tick, ...extent } = ticksOf(song);
  const metas = metasOf(song, tick);
  const sent = newSentColumns(song.events.count - metas.count);
  interleaveTracks(song, tick, extent.endTick, sent);
  return { sent, metas, ...extent };
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

function metasOf({ events: { status }, trackStart }: Song, tick: Uint32Array): MergedRows['metas'] {
  const rows: number[] = [];
  const tracks: number[] = [];
  for (let track = 0; track + 1 < trackStart.length; track += 1) {
    const end = trackStart[track + 1]!;
    let row = status.indexOf(META, trackStart[track]!);
    for (; row >= 0 && row < end; row = status.indexOf(META, row + 1)) {
      rows.push(row);
      tracks.push(track);
    }
  }
  const ticks = Uint32Array.from(rows, (row) => tick[row]!);
  const order = orderByTick(ticks);
  return {
    count: rows.length,
    row: order.map((at) => rows[at]!),
    tick: order.map((at) => ticks[at]!),
    track: order.map((at) => tracks[at]!),
  };
}
