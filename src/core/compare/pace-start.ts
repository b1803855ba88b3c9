import { firstNotBefore } from '../timeline/sorted-values.ts';
import type { HeardNotes } from './heard-music.ts';
import { EARLY_MICROS, LATE_MICROS } from './song-places.ts';
import type { WrittenMusic } from './written-music.ts';

/** Notes from which on it is known where in the song a player is, if they come at two moments at least. */
export const KNOWN_BY_NOTES = 4;
/** What came so early decides when it began; or what came before something that is written nowhere, if that was enough. */
const FIRST_HEARD = 64;
const ENOUGH_HEARD = 24;
/** A beginning is one at which one of the first notes heard is one of the first written. */
const TRIED_HEARD = 16;
const TRIED_WRITTEN = 24;
/** Of the notes heard so many must then stand where they are written: a little earlier, or later, as a slow player's first chord. */
const LEAST_EXPLAINED = 0.75;

/** The beginning at which most of the first notes heard stand where they are written; rather one at which few before them are missing. */
export function startOf(written: WrittenMusic, first: number, heard: HeardNotes): number | undefined {
  const count = firstHeard(written, heard);
  let start = Number.NEGATIVE_INFINITY;
  let most = Number.NEGATIVE_INFINITY;
  for (let note = 0; note < Math.min(TRIED_HEARD, count); note += 1) {
    for (const other of candidates(written, first, heard, note)) {
      const tried = heard.micros[note]! - written.micros[other]!;
      const explained = explainedBy(written, first, heard, 0, count, tried);
      if (explained < Math.max(KNOWN_BY_NOTES, LEAST_EXPLAINED * count)) continue;
      const skipped = firstNotBefore(written.micros, heard.micros[0]! - tried - LATE_MICROS) - first;
      const score = explained - Math.max(0, skipped) / 2;
      if (score < most || (score === most && tried < start)) continue;
      most = score;
      start = tried;
    }
  }
  return start === Number.NEGATIVE_INFINITY ? undefined : start;
}

/** What a note heard may be: one of the first written that are like it, or the first of its channel and key. */
function candidates(written: WrittenMusic, first: number, heard: HeardNotes, note: number): number[] {
  const found: number[] = [];
  const soon = Math.min(first + TRIED_WRITTEN, written.count);
  let other = first;
  for (; other < soon; other += 1) if (isAlike(written, other, heard, note)) found.push(other);
  if (found.length > 0) return found;
  const isOfStream = () =>
    written.key[other] === heard.key[note] && written.channel[other] === heard.channel[note];
  while (other < written.count && !isOfStream()) other += 1;
  return other < written.count ? [other] : [];
}

function isSame(written: WrittenMusic, note: number, heard: HeardNotes, other: number): boolean {
  return kindOf(written, note) === kindOf(heard, other);
}

function isAlike(written: WrittenMusic, note: number, heard: HeardNotes, other: number): boolean {
  if (written.key[note] !== heard.key[other]) return false;
  return written.channel[note] === heard.channel[other] || written.velocity[note] === heard.velocity[other];
}

/** [channel, key, velocity] 1: some note of the song is written so. Asked of it at every look, and always the same. */
const WRITTEN_SO = new WeakMap<WrittenMusic, Uint8Array>();

function isAnywhere(written: WrittenMusic, heard: HeardNotes, note: number): boolean {
  let known = WRITTEN_SO.get(written);
  if (known === undefined) {
    known = new Uint8Array(16 * 128 * 128);
    for (let one = 0; one < written.count; one += 1) known[kindOf(written, one)] = 1;
    WRITTEN_SO.set(written, known);
  }
  return known[kindOf(heard, note)] === 1;
}

function kindOf(
  { channel, key, velocity }: Pick<WrittenMusic, 'channel' | 'key' | 'velocity'>,
  note: number,
): number {
  return (channel[note]! << 14) | (key[note]! << 7) | velocity[note]!;
}

/** Of the notes heard from one on those that are written nowhere in the song. */
export function strangers(written: WrittenMusic, heard: HeardNotes, from: number): number {
  let some = 0;
  for (let note = from; note < heard.count; note += 1) if (!isAnywhere(written, heard, note)) some += 1;
  return some;
}

/** How many decide when it began. */
function firstHeard(written: WrittenMusic, heard: HeardNotes): number {
  const count = Math.min(FIRST_HEARD, heard.count);
  for (let note = ENOUGH_HEARD; note < count; note += 1) if (!isAnywhere(written, heard, note)) return note;
  return count;
}

/** Of some notes heard those that are written where a beginning puts them; 0 where they all are of one moment. */
export function explainedBy(
  written: WrittenMusic,
  first: number,
  heard: HeardNotes,
  from: number,
  to: number,
  start: number,
): number {
  let explained = 0;
  let moment = -1;
  let isSpread = false;
  for (let note = from; note < to; note += 1) {
    const at = heard.micros[note]! - start;
    for (
      let other = Math.max(first, firstNotBefore(written.micros, at - LATE_MICROS));
      other < written.count && written.micros[other]! <= at + EARLY_MICROS;
      other += 1
    ) {
      if (!isAlike(written, other, heard, note)) continue;
      explained += 1;
      isSpread ||= moment >= 0 && written.moment[other] !== moment;
      moment = written.moment[other]!;
      break;
    }
  }
  return isSpread ? explained : 0;
}

/**
 * The first notes heard are the first that are written, moment by moment and as loud, whenever they came: so slow or so fast no
 * place in time is found.
 * @returns [heard] which each is; undefined where one is another, or they are of one moment
 */
export function firstInOrder(
  written: WrittenMusic,
  first: number,
  heard: HeardNotes,
): Uint32Array | undefined {
  const { moment, count } = written;
  const last = first + heard.count - 1;
  if (heard.count < KNOWN_BY_NOTES || last >= count || moment[last] === moment[first]) return undefined;
  const found = new Uint32Array(heard.count);
  const isTaken = new Set<number>();
  for (let note = 0; note < heard.count; note += 1) {
    const here = moment[first + note]!;
    let other = first + note;
    while (other > first && moment[other - 1] === here) other -= 1;
    const isIt = () => !isTaken.has(other) && isSame(written, other, heard, note);
    while (moment[other] === here && !isIt()) other += 1;
    if (moment[other] !== here) return undefined;
    isTaken.add(other);
    found[note] = other;
  }
  return found;
}
