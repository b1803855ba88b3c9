import { firstNotBefore } from '../timeline/sorted-values.ts';
import type { Timeline } from '../timeline/timeline.ts';
import type { HeardMusic, HeardNotes } from './heard-music.ts';
import { type NoteStreams, noteStreams, STREAMS } from './note-streams.ts';
import { longestWaits } from './wire-waits.ts';
import type { WrittenMusic } from './written-music.ts';

/** A place in the song from which on all that was heard is as written. */
export interface SongPlace {
  /** Recording's time of song time 0. */
  readonly startMicros: number;
  /** Written note that the first heard one is. */
  readonly first: number;
  /** Song time of the earliest that was heard: a note may come a little early. */
  readonly earliestMicros: number;
  /** Song time from which on every note was heard: behind the moment in whose middle listening may have begun. */
  readonly wholeFromMicros: number;
  /** Heard note that comes after the song is over; −1: none yet. */
  readonly overAt: number;
  /** [heard] Which written note each is, up to there; −1 before the first that was asked, and behind. */
  readonly writtenOf: Int32Array;
}

/** So many places are looked for: a song that repeats itself more often says no more of itself. */
export const MOST_PLACES = 8;
/** A note may come so much earlier than its place says, and later, beside what it waits for the wire. */
export const EARLY_MICROS = 50_000;
export const LATE_MICROS = 250_000;
/** So late a note is nowhere, beside what it waits for the wire. */
export const OVERDUE_MICROS = 400_000;
/** A receiver's times are not exact. */
const JUST_BEFORE_MICROS = 3000;
/** What begins with a burst of messages begins before it. */
const JUST_BEFORE_BURST_MICROS = 0.5;
/** Notes whose releases may be the last of a song. */
const MOST_RELEASES = 2048;
/**
 * Notes looked at in one search, and what a place costs beside its notes. Where a song is one key in an even beat, each of its notes may
 * be the first, and each is followed far: the search ends, and what was found by then is all.
 */
const MOST_STEPS = 4_000_000;
const STEPS_A_PLACE = 256;
/** As it goes on a place follows the player's clock, by so much of what each note is off. */
const FOLLOWS = 1 / 16;

export function songPlaces({ columns }: Timeline, written: WrittenMusic): SongPlaces {
  return new SongPlaces(written, longestWaits(columns, written));
}

/**
 * Finds from where in a song a listener may have heard it who came in at any time: each note heard is the next written one of its key, in
 * time and as loud, and none that is due is missing. In a song that repeats itself there may be several such places.
 */
export class SongPlaces {
  readonly #written: WrittenMusic;
  readonly #streams: NoteStreams;
  /** [written] Longest that it may wait for the wire. */
  readonly #waits: Float64Array;
  /** Used again for every place: [heard] which written note each is. */
  #writtenOf = new Int32Array(64);
  /** [2048] The next written note of each key; −1: it was not heard yet. */
  readonly #next = new Int32Array(STREAMS);
  #stepsLeft = 0;

  constructor(written: WrittenMusic, waits: Float64Array) {
    this.#written = written;
    this.#streams = noteStreams(written);
    this.#waits = waits;
  }

  /**
   * Ascending; the first few.
   * @param from first heard note that is asked
   * @param nowMicros recording's time until which everything was heard
   */
  find(on: HeardNotes, from: number, nowMicros: number): SongPlace[] {
    const found: SongPlace[] = [];
    if (from >= on.count) return found;
    const { start, notes } = this.#streams;
    const stream = (on.channel[from]! << 7) | on.key[from]!;
    this.#stepsLeft = Math.max(MOST_STEPS, 4 * on.count);
    for (let at = start[stream]!; at < start[stream + 1]! && found.length < MOST_PLACES; at += 1) {
      if (this.#stepsLeft < 0) break;
      const place = this.#follow(on, from, notes[at]!, nowMicros);
      if (place !== undefined) found.push(place);
    }
    return found;
  }

  /** The place whose first note is the next of its key from a song time on; undefined where not all is as written. */
  from(on: HeardNotes, fromMicros: number, nowMicros: number): SongPlace | undefined {
    const stream = (on.channel[0]! << 7) | on.key[0]!;
    const at = this.#firstOf(stream, fromMicros);
    const isThere = at < this.#streams.start[stream + 1]!;
    return isThere ? this.#follow(on, 0, this.#streams.notes[at]!, nowMicros) : undefined;
  }

  /** The place that begins with a written note; undefined where not all is as written. */
  at(on: HeardNotes, first: number, nowMicros: number): SongPlace | undefined {
    return this.#follow(on, 0, first, nowMicros);
  }

  /**
   * When the song begins again of which a note heard is the first: what is due before that note belongs to it, and of what comes
   * behind the notes before it, and their releases, all that comes behind the longest silence.
   */
  beginsAgainMicros({ on, bursts }: Pick<HeardMusic, 'on' | 'bursts'>, note: number): number {
    const at = on.micros[note]!;
    const before = on.micros[note - 1] ?? Number.NEGATIVE_INFINITY;
    let last = before;
    for (let n = Math.max(0, note - MOST_RELEASES); n < note; n += 1) {
      const off = on.offMicros[n]!;
      if (off < at) last = Math.max(last, off);
    }
    const due = Math.max(before, at - this.#written.micros[0]! - this.#waits[0]! - JUST_BEFORE_MICROS);
    let begins = due;
    let longest = Number.NEGATIVE_INFINITY;
    for (let n = firstNotBefore(bursts, last + JUST_BEFORE_MICROS); last < due; n += 1) {
      const next = Math.min(due, (bursts[n] ?? Number.POSITIVE_INFINITY) - JUST_BEFORE_BURST_MICROS);
      if (next - last >= longest) {
        longest = next - last;
        begins = next;
      }
      last = next;
    }
    return begins;
  }

  #follow(on: HeardNotes, from: number, first: number, nowMicros: number): SongPlace | undefined {
    const { micros, velocity, count } = this.#written;
    const { start, notes } = this.#streams;
    if (velocity[first] !== on.velocity[from]) return undefined;
    const next = this.#next.fill(-1);
    const startMicros = on.micros[from]! - micros[first]!;
    const wholeFromMicros = this.#wholeFrom(micros[first]!);
    const early = EARLY_MICROS + this.#waits[first]!;
    const writtenOf = this.#writtenOf.length < on.count ? new Int32Array(2 * on.count) : this.#writtenOf;
    this.#writtenOf = writtenOf;
    let off = 0;
    let overAt = -1;
    let earliestMicros = micros[first]!;
    this.#stepsLeft -= STEPS_A_PLACE;
    for (let note = from; note < on.count; note += 1) {
      this.#stepsLeft -= 1;
      const stream = (on.channel[note]! << 7) | on.key[note]!;
      const end = start[stream + 1]!;
      const at = on.micros[note]! - startMicros - off;
      let place = next[stream]!;
      if (place < 0)
        place = this.#nearest(on, note, at, this.#firstOf(stream, micros[first]! - early), wholeFromMicros);
      const written = place < end ? notes[place]! : count;
      const late = at - micros[written]!;
      const isIt =
        written < count &&
        late >= -early &&
        late <= LATE_MICROS + this.#waits[written]! &&
        velocity[written] === on.velocity[note];
      if (!isIt) {
        if (at < micros[count - 1]!) return undefined;
        overAt = note;
        break;
      }
      next[stream] = place + 1;
      writtenOf[note] = written;
      earliestMicros = Math.min(earliestMicros, micros[written]!);
      off += late * FOLLOWS;
    }
    const now = overAt < 0 ? nowMicros - startMicros - off : Number.POSITIVE_INFINITY;
    return this.#isAnyOverdue(micros[first]! - early, wholeFromMicros, now)
      ? undefined
      : {
          startMicros,
          first,
          earliestMicros,
          wholeFromMicros,
          overAt,
          writtenOf: this.#pairs(from, overAt < 0 ? on.count : overAt, on.count),
        };
  }

  #pairs(from: number, to: number, count: number): Int32Array {
    const pairs = new Int32Array(count).fill(-1);
    pairs.set(this.#writtenOf.subarray(from, to), from);
    return pairs;
  }

  /** Of the first notes of a key that were due as listening began and may have come before it, which one was heard first. */
  #nearest(on: HeardNotes, note: number, at: number, from: number, wholeFromMicros: number): number {
    const { micros, velocity } = this.#written;
    const { start, notes } = this.#streams;
    const end = start[((on.channel[note]! << 7) | on.key[note]!) + 1]!;
    let best = from;
    for (let place = from; place < end; place += 1) {
      const [one, other] = [notes[best]!, notes[place]!];
      const isNearer = Math.abs(at - micros[other]!) < Math.abs(at - micros[one]!);
      if (velocity[other] === on.velocity[note] && (isNearer || velocity[one] !== on.velocity[note]))
        best = place;
      if (micros[other]! >= wholeFromMicros) break;
    }
    return best;
  }

  /** Place in its stream of the first note that is not before a song time. */
  #firstOf(stream: number, fromMicros: number): number {
    const { start, notes } = this.#streams;
    let low = start[stream]!;
    let high = start[stream + 1]!;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.#written.micros[notes[middle]!]! >= fromMicros) high = middle;
      else low = middle + 1;
    }
    return low;
  }

  #isAnyOverdue(fromMicros: number, wholeFromMicros: number, now: number): boolean {
    const { start, notes } = this.#streams;
    for (let stream = 0; stream < STREAMS; stream += 1) {
      if (start[stream] === start[stream + 1]) continue;
      const next = this.#next[stream]!;
      let place = next < 0 ? this.#firstOf(stream, fromMicros) : next;
      while (place < start[stream + 1]! && this.#written.micros[notes[place]!]! < wholeFromMicros) place += 1;
      if (place >= start[stream + 1]!) continue;
      const note = notes[place]!;
      if (this.#written.micros[note]! + OVERDUE_MICROS + this.#waits[note]! < now) return true;
    }
    return false;
  }

  /** The next moment that stands clear of one in whose middle listening may have begun. */
  #wholeFrom(fromMicros: number): number {
    const { micros, count } = this.#written;
    for (let note = firstNotBefore(micros, fromMicros + EARLY_MICROS); note < count; note += 1) {
      if (micros[note]! - micros[note - 1]! >= EARLY_MICROS) return micros[note]!;
      if (micros[note]! - fromMicros > LATE_MICROS) return micros[note]!;
    }
    return Number.POSITIVE_INFINITY;
  }
}
