import type { Song } from '../smf/song.ts';
import { sharedU8, sharedU16, sharedU32 } from './shared-columns.ts';
import { TrackQueue } from './track-queue.ts';

/** A song's rows in playing order: what is sent, as columns; and its meta events, as rows of the song. */
export interface MergedRows {
  readonly sent: {
    readonly count: number;
    readonly tick: Uint32Array;
    readonly status: Uint8Array;
    readonly data1: Uint8Array;
    readonly data2: Uint8Array;
    /** Row of the *song's* payloads. */
    readonly payload: Uint32Array;
    readonly track: Uint16Array;
  };
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

export const LAST_TICK = 0xffff_ffff;
const META = 0xff;
const LAST_TRACK = 0xffff;

/**
 * Merges the tracks by tick; equal ticks keep track order, then file order (a module hears what the file's
 * writer heard). Format 2 patterns are independent (SMF 1.1, section 2.2): they follow one another.
 */
export function mergeTracks(song: Song): MergedRows {
  const { events, trackStart } = song;
  const metaCount = countOf(events.status, events.count, META);
  const sentCount = events.count - metaCount;
  const sent = {
    count: sentCount,
    tick: sharedU32(sentCount),
    status: sharedU8(sentCount),
    data1: sharedU8(sentCount),
    data2: sharedU8(sentCount),
    payload: sharedU32(sentCount),
    track: sharedU16(sentCount),
  };
  const metas = {
    count: metaCount,
    row: new Uint32Array(metaCount),
    tick: new Uint32Array(metaCount),
    track: new Uint32Array(metaCount),
  };
  const place = { sent: 0, meta: 0 };
  /** Copies rows `from` to `to`−1 of one track, `offset` ticks later than they stand there. */
  const copy = (from: number, to: number, track: number, offset: number) => {
    const { tick, status, data1, data2, payload } = events;
    const trackColumn = Math.min(track, LAST_TRACK);
    let at = place.sent;
    for (let row = from; row < to; row += 1) {
      const when = offset === 0 ? tick[row]! : Math.min(tick[row]! + offset, LAST_TICK);
      if (status[row] === META) {
        metas.row[place.meta] = row;
        metas.tick[place.meta] = when;
        metas.track[place.meta] = track;
        place.meta += 1;
        continue;
      }
      sent.tick[at] = when;
      sent.status[at] = status[row]!;
      sent.data1[at] = data1[row]!;
      sent.data2[at] = data2[row]!;
      sent.payload[at] = payload[row]!;
      sent.track[at] = trackColumn;
      at += 1;
    }
    place.sent = at;
  };
  if (song.format === 2) return { sent, metas, ...oneAfterAnother(song, copy) };
  const queue = new TrackQueue(events.tick, trackStart);
  while (queue.next()) copy(queue.from, queue.to, queue.track, 0);
  return { sent, metas, endTick: lastTickOf(song), patternTick: [], saturated: false };
}

type CopyRows = (from: number, to: number, track: number, offset: number) => void;

function oneAfterAnother({ events, trackStart }: Song, copy: CopyRows) {
  const patternTick: number[] = [];
  let endTick = 0;
  for (let track = 0; track + 1 < trackStart.length; track += 1) {
    const [from, to] = [trackStart[track]!, trackStart[track + 1]!];
    patternTick.push(Math.min(endTick, LAST_TICK));
    copy(from, to, track, endTick);
    if (to > from) endTick += events.tick[to - 1]!;
  }
  return { patternTick, endTick: Math.min(endTick, LAST_TICK), saturated: endTick > LAST_TICK };
}

function lastTickOf({ events, trackStart }: Song): number {
  let last = 0;
  for (let track = 0; track + 1 < trackStart.length; track += 1) {
    const to = trackStart[track + 1]!;
    if (to > trackStart[track]!) last = Math.max(last, events.tick[to - 1]!);
  }
  return last;
}

function countOf(column: Uint8Array, count: number, value: number): number {
  let found = 0;
  for (let row = 0; row < count; row += 1) if (column[row] === value) found += 1;
  return found;
}
