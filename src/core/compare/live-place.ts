import { firstNotBefore } from '../timeline/sorted-values.ts';
import type { Timeline } from '../timeline/timeline.ts';
import { statusFaults } from './causes/status-faults.ts';
import { BEGINNING_MICROS } from './coverage.ts';
import type { HeardMusic } from './heard-music.ts';
import { matchMusic } from './match-music.ts';
import { median } from './robust-line.ts';
import type { SongParts } from './song-part.ts';
import { type WrittenMusic, writtenMusic } from './written-music.ts';

/** Where in the song a recording is that is still being made. */
export interface Place {
  /** Song time at which the part that was heard begins. */
  readonly fromMicros: number;
  /** Matched notes, of those heard or those written, whichever are more. */
  readonly share: number;
  /** Song time of the first that was heard, and of the last. */
  readonly begunMicros: number;
  readonly songMicros: number;
  /** Until this song time all should have come, and by then (recording's time, below 0: never) it had. */
  readonly toMicros: number;
  readonly heardUntil: number;
  /** [heard] song time of each, NaN where it is not known. */
  readonly songAt: Float64Array;
}

/** What is younger than this is not judged yet: the rest of a chord, or a late note, may be on its way. */
export const EDGE_MICROS = 300_000;
/** Matched notes that say where the song is: one alone may be a chance. */
const TELLING_NOTES = 15;
/** Of as many notes as were heard so many must be where they belong. */
const LEAST_SHARE = 0.6;
/** Or of those heard, where fewer came than are written. */
const LEAST_KNOWN = 0.75;
const FEWEST_KNOWN = 8;
/** Of all notes anywhere in the song. */
const OTHER_SHARE = 0.02;

/**
 * The place of what was heard where it begins at a song time: as many notes as were heard, or nearly, whatever the tempo; or
 * as much of the song as lasts as long, whatever was lost.
 * @returns undefined where it does not seem to be that part of the song
 */
export function placeFrom(
  parts: SongParts,
  written: WrittenMusic,
  fromMicros: number,
  heard: HeardMusic,
): Place | undefined {
  const { micros } = written;
  const { on } = heard;
  const first = firstNotBefore(micros, fromMicros);
  if (on.count === 0) return undefined;
  if (first >= micros.length) return behindTheEnd(fromMicros, written, heard);
  /** By the end of the part: in a few notes, or at the song's end, all shares of them end at one. */
  const tried = new Map<number, Place>();
  const place = (toMicros: number): Place => {
    const found = tried.get(toMicros) ?? placeIn(parts.part(fromMicros, toMicros), heard, fromMicros);
    tried.set(toMicros, found);
    return found;
  };
  let best: Place | undefined;
  for (const share of [1, 0.97, 1.03, 0.9, 1.1]) {
    const last = Math.min(micros.length, first + Math.round(on.count * share)) - 1;
    const found = place(micros[last]!);
    if (best === undefined || found.share > best.share) best = found;
    if (best.share > 0.98) return best;
    const rest = micros.length - first;
    // The whole of it, and more that is not in it.
    if (last === micros.length - 1 && on.count > rest && found.share * on.count > LEAST_SHARE * rest)
      return found;
    // Far from it: nothing near by is it either.
    if (best.share < LEAST_SHARE / 2) break;
  }
  if (best !== undefined && best.share >= LEAST_SHARE) return best;
  const span = on.micros[on.count - 1]! - on.micros[0]!;
  const part = parts.part(fromMicros, micros[first]! + span + EDGE_MICROS);
  const asLong = placeIn(part, heard, fromMicros);
  const known = asLong.songAt.reduce((sum, at) => sum + (Number.isNaN(at) ? 0 : 1), 0);
  const isKnown = on.count >= FEWEST_KNOWN && known >= LEAST_KNOWN * on.count;
  return isKnown || (known > 0 && statusFaults(part, heard) !== undefined) ? asLong : undefined;
}

/**
 * The place of what was begun anywhere, not all of which is as written: a song repeats itself, so that takes many notes.
 * @returns undefined where it does not seem to be the song
 */
export function placeAnywhere(
  timeline: Timeline,
  parts: SongParts,
  written: WrittenMusic,
  heard: HeardMusic,
): Place | undefined {
  const { share, begunMicros } = placeIn(timeline, heard, 0);
  if (share < OTHER_SHARE) return undefined;
  return placeFrom(parts, written, begunMicros < BEGINNING_MICROS ? 0 : begunMicros, heard);
}

/** The place of what was heard in a part of the song, or in all of it. */
function placeIn(timeline: Timeline, heard: HeardMusic, fromMicros: number): Place {
  const written = writtenMusic(timeline);
  const { on } = heard;
  const songAt = new Float64Array(on.count).fill(Number.NaN);
  const { matching } = matchMusic(timeline, written, heard);
  for (let note = 0; note < on.count; note += 1) {
    const ours = matching.writtenOf[note]!;
    if (ours >= 0) songAt[note] = written.micros[ours]!;
  }
  const known = songAt.filter((at) => !Number.isNaN(at));
  const last = known.slice(-TELLING_NOTES);
  // The latest that is not out of the way of the others.
  const middle = median(last.slice());
  const songMicros = Math.max(...last.filter((micros) => micros < middle + BEGINNING_MICROS));
  const toMicros = songMicros - EDGE_MICROS;
  return {
    fromMicros,
    share: known.length / Math.max(on.count, written.count),
    begunMicros: Math.min(...known.subarray(0, TELLING_NOTES)),
    songMicros,
    toMicros,
    heardUntil: cutBetween(on.micros, songAt, toMicros),
    songAt,
  };
}

/** The song is over: whatever comes is not in it. */
function behindTheEnd(fromMicros: number, { micros }: WrittenMusic, { on }: HeardMusic): Place {
  const songMicros = micros.at(-1) ?? 0;
  const heardUntil = on.micros[on.count - 1]! - EDGE_MICROS;
  const songAt = new Float64Array(on.count).fill(Number.NaN);
  return { fromMicros, share: 1, begunMicros: 0, songMicros, toMicros: songMicros, heardUntil, songAt };
}

/**
 * The moment that best parts what belongs before a cut of the song from what belongs behind it: a single note that was taken
 * for another may lie on the wrong side.
 * @returns time of the last note before the cut; below 0 for none
 */
function cutBetween(micros: Float64Array, songAt: Float64Array, toMicros: number): number {
  let wrong = 0;
  let best = 0;
  let cut = -1;
  for (let note = 0; note < songAt.length; note += 1) {
    if (Number.isNaN(songAt[note]!)) continue;
    wrong += songAt[note]! <= toMicros ? -1 : 1;
    if (wrong <= best) {
      best = wrong;
      cut = micros[note]!;
    }
  }
  return cut;
}

export interface RestCut {
  /** Between two moments: of the recording, and of the song. */
  readonly heardMicros: number;
  readonly songMicros: number;
}

/** Rests that are looked at for a cut. */
const MOST_RESTS = 8;
/** Share of the notes that may lie on the wrong side of a cut. */
const MOST_TORN = 0.02;

/**
 * A cut through what was heard, in the longest rest of its third quarter that parts song and recording alike.
 * @returns undefined where there is none, as in tracks that are played in turn
 */
export function cutInRest({ on }: HeardMusic, { songAt }: Place): RestCut | undefined {
  const lastKnown = songAt.findLastIndex((at) => !Number.isNaN(at));
  // The song is over, and something else goes on.
  if (lastKnown >= 0 && lastKnown < on.count >> 1) {
    const heardMicros = (on.micros[lastKnown]! + on.micros[lastKnown + 1]!) / 2;
    return {
      heardMicros,
      songMicros: Math.max(...songAt.subarray(0, lastKnown + 1).filter((at) => at >= 0)),
    };
  }
  const rests: { readonly note: number; readonly length: number }[] = [];
  for (let note = on.count >> 1; note < (3 * on.count) / 4; note += 1) {
    if (!(songAt[note]! > songAt[note - 1]!)) continue;
    rests.push({ note, length: on.micros[note]! - on.micros[note - 1]! });
  }
  rests.sort((a, b) => b.length - a.length);
  let best: RestCut | undefined;
  let fewest = MOST_TORN * on.count;
  for (const { note } of rests.slice(0, MOST_RESTS)) {
    const heardMicros = (on.micros[note]! + on.micros[note - 1]!) / 2;
    const songMicros = (songAt[note]! + songAt[note - 1]!) / 2;
    let torn = 0;
    for (let other = 0; other < on.count; other += 1) {
      if (!Number.isNaN(songAt[other]!) && on.micros[other]! < heardMicros !== songAt[other]! < songMicros)
        torn += 1;
    }
    if (torn >= fewest) continue;
    fewest = torn;
    best = { heardMicros, songMicros };
    if (torn === 0) break;
  }
  return best;
}
