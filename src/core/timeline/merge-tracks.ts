import type { Song } from '../smf/song.ts';
import { interleaveTracks } from './interleave-tracks.ts';
import { newSentColumns, type SentColumns } from './sent-columns.ts';
import { TrackQueue } from './track-queue.ts';

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
  const metaStart = new Uint32Array(trackStart.length);
  // The runtime's own search: among a million notes there are few metas.
  let row = status.indexOf(META);
  for (const [track, start] of trackStart.entries()) {
    for (; row >= 0 && row < start; row = status.indexOf(META, row + 1)) rows.push(row);
    metaStart[track] = rows.length;
  }
  const ticks = Uint32Array.from(rows, (row) => tick[row]!);
  const metas = {
    count: rows.length,
    row: new Uint32Array(rows.length),
    tick: new Uint32Array(rows.length),
    track: new Uint32Array(rows.length),
  };
  const queue = new TrackQueue(ticks, metaStart);
  let at = 0;
  while (queue.next()) {
    for (let meta = queue.from; meta < queue.to; meta += 1, at += 1) {
      metas.row[at] = rows[meta]!;
      metas.tick[at] = ticks[meta]!;
      metas.track[at] = queue.track;
    }
  }
  return metas;
}
