import { firstAfter } from '../timeline/sorted-values.ts';
import type { Timeline } from '../timeline/timeline.ts';
import { statusFaults } from './causes/status-faults.ts';
import type { HeardMusic } from './heard-music.ts';
import { heardPart } from './heard-part.ts';
import { matchMusic } from './match-music.ts';
import { KNOWN_BY_NOTES } from './pace-start.ts';
import type { WrittenMusic } from './written-music.ts';

/**
 * Notes heard that are laid beside the song, as a share of its own: as many, where none is missing or added but some stand
 * where no law of time has them, and more, with what begins it again.
 */
const WINDOWS = [1, 1.1, 2.2];
/** And where far fewer came than it has, those of so much more time than it lasts. */
const LASTS = 1.02;
const FAR_FEWER = 0.9;
/** So many of the song's notes are found where it is played, and so near to its end is what ends it. */
const LEAST_FOUND = 0.5;
const ENDS_BEHIND = 0.6;
/** What begins it again is found as near to its beginning. */
const BEGINS_BEFORE = 0.25;
/** A note so far from where it is expected may be one of the next time. */
const NEAR_MICROS = 60_000;
/** Notes laid beside a song in all; then what is left is judged in one. */
const MOST_NOTES = 4_000_000;

/** The song as it was found from a heard note on. */
interface Found {
  /** Share of the song, 0–1, at which the first note found stands. */
  readonly begins: number;
  /** Heard note behind its last; undefined: it is not over. */
  readonly over: number | undefined;
}

/** Of a player in a loop with whom something is wrong: where each time ends. */
export class WrongPasses {
  readonly #timeline: Timeline;
  readonly #written: WrittenMusic;
  readonly #heard: HeardMusic;
  readonly #found = new Map<number, Found | undefined>();
  #notes = 0;

  constructor(timeline: Timeline, written: WrittenMusic, heard: HeardMusic) {
    this.#timeline = timeline;
    this.#written = written;
    this.#heard = heard;
  }

  /** The heard note with which the song begins again that was begun with another; undefined where it does not. */
  endOf(from: number): number | undefined {
    const { count } = this.#heard.on;
    if (count - this.#asLong(from) < KNOWN_BY_NOTES) return undefined;
    const here = this.#find(from);
    if (here?.over === undefined || count - here.over < KNOWN_BY_NOTES) return undefined;
    const there = this.#find(here.over);
    return there !== undefined && there.begins < BEGINS_BEFORE ? here.over : undefined;
  }

  #find(from: number): Found | undefined {
    if (!this.#found.has(from)) this.#found.set(from, this.#look(from));
    return this.#found.get(from);
  }

  /** The note heard with which there are as many as the song has, or with which it has lasted as long. */
  #asLong(from: number): number {
    const { micros, count } = this.#written;
    const lasts = LASTS * (micros[count - 1]! - micros[0]!);
    return Math.min(from + count, firstAfter(this.#heard.on.micros, this.#heard.on.micros[from]! + lasts));
  }

  #look(from: number): Found | undefined {
    const { count } = this.#heard.on;
    const all = this.#written.count;
    let found: Found | undefined;
    for (const share of WINDOWS) {
      const to = Math.min(count, from + Math.ceil(share * all) + (share > 1 ? KNOWN_BY_NOTES : 0));
      found = this.#match(from, this.#part(from, to));
      if (found?.over !== undefined) return found;
      if (to === count) break;
    }
    const asLong = this.#asLong(from);
    if (asLong - from >= FAR_FEWER * all) return found;
    const behind = Math.min(count, asLong + KNOWN_BY_NOTES);
    const few = this.#match(from, this.#part(from, behind));
    if (few?.over !== undefined) return few;
    return this.#byMessages(from, asLong, behind) ?? found ?? few;
  }

  #part(from: number, to: number): HeardMusic {
    const { count, micros } = this.#heard.on;
    this.#notes += to - from;
    return heardPart(this.#heard, from, to, micros[from]!, to < count ? micros[to]! : Infinity);
  }

  /** Where hardly a note is left where it belongs: that it is the song say its messages, and when it is over its time. */
  #byMessages(from: number, asLong: number, behind: number): Found | undefined {
    if (statusFaults(this.#timeline, this.#part(from, asLong)) === undefined) return undefined;
    return { begins: 0, over: behind - asLong >= KNOWN_BY_NOTES ? asLong : undefined };
  }

  #match(from: number, part: HeardMusic): Found | undefined {
    if (this.#notes > MOST_NOTES) return undefined;
    const { count, micros } = this.#written;
    const { matching, expected, law } = matchMusic(this.#timeline, this.#written, part);
    const { heardOf, writtenOf, matched } = matching;
    if (matched < LEAST_FOUND * Math.min(count, part.on.count)) return undefined;
    // Of what came first as well, and not only of the next time.
    const asLong = Math.min(part.on.count, this.#asLong(from) - from);
    const foundFirst = writtenOf.subarray(0, asLong).filter((note) => note >= 0).length;
    if (foundFirst < LEAST_FOUND * asLong) return undefined;
    const isNear = (found: number, note: number) =>
      found >= 0 && (law === 'no-timing' || Math.abs(part.on.micros[found]! - expected[note]!) < NEAR_MICROS);
    const shareAt = (note: number) => (micros[note]! - micros[0]!) / (micros[count - 1]! - micros[0]! || 1);
    const first = heardOf.findIndex(isNear);
    const last = heardOf.findLastIndex(isNear);
    const behind =
      1 + heardOf.reduce((most, found, note) => (isNear(found, note) ? Math.max(most, found) : most), -1);
    const isMore = part.on.count - behind >= KNOWN_BY_NOTES;
    const isOver = shareAt(last) >= ENDS_BEHIND && (matched === count || isMore);
    return { begins: shareAt(first), over: isOver ? from + behind : undefined };
  }
}
