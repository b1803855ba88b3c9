import { firstNotBefore } from '../timeline/sorted-values.ts';
import type { Matching } from './align-streams.ts';
import type { HeardMusic } from './heard-music.ts';
import { SLACK_MICROS } from './state-differences.ts';
import type { WrittenMusic } from './written-music.ts';
import type { WrittenSysEx } from './written-sysex.ts';

/**
 * Between which notes a SysEx stands. `within`: notes were heard before it and behind it. `head`: none before it, but the
 * song's first note was heard. `outside`: the recording begins or ends in between, and nothing is owed.
 */
export type SysExPart = 'within' | 'head' | 'outside';

export interface SysExPlace {
  readonly part: SysExPart;
  /** Number of heard messages before which it comes too early, and behind which too late. */
  readonly after: number;
  readonly before: number;
}

/** Notes that are asked on each side, of how many it is told that they began without it, and how far they are looked for. */
const ASKED = 16;
const MOST_TOLD = 1000;
const MOST_LOOKED_AT = 4096;

/**
 * Where among the notes a SysEx belongs. In its own track it keeps its place, though it may go first in its own moment; notes of
 * other tracks may pass it that stand within 40 ms, for in what order a player takes two tracks nobody has laid down.
 */
export class SysExPlaces {
  readonly #written: WrittenMusic;
  readonly #heard: HeardMusic;
  readonly #heardOf: Int32Array;
  readonly #first: number;
  readonly #last: number;

  constructor(written: WrittenMusic, heard: HeardMusic, { heardOf }: Matching) {
    this.#written = written;
    this.#heard = heard;
    this.#heardOf = heardOf;
    const isHeard = (found: number, note: number) => found >= 0 && isAmongHeard(heardOf, note);
    this.#first = heardOf.findIndex(isHeard);
    this.#last = heardOf.findLastIndex(isHeard);
  }

  /** Numbers of the messages of the first and the last note that were heard of the song. */
  get span(): { readonly from: number; readonly to: number } {
    let from = Number.POSITIVE_INFINITY;
    let to = -1;
    for (const found of this.#heardOf) {
      if (found < 0) continue;
      from = Math.min(from, this.#heard.on.message[found]!);
      to = Math.max(to, this.#heard.on.message[found]!);
    }
    return { from, to };
  }

  placeOf(sysEx: WrittenSysEx): SysExPlace {
    let after = -1;
    for (const message of this.#messages(sysEx, -1, ASKED)) after = Math.max(after, message);
    let before = Number.POSITIVE_INFINITY;
    for (const message of this.#messages(sysEx, 1, ASKED)) before = Math.min(before, message);
    const part = this.#partOf(sysEx);
    // Notes that changed places across it, as of tracks that are played in turn, say nothing.
    return after <= before ? { part, after, before } : { part, after: -1, before: Number.POSITIVE_INFINITY };
  }

  /** Notes written before it (`side` −1) that came behind a heard message, or written behind it (1) that came before that. */
  passed(sysEx: WrittenSysEx, message: number, side: -1 | 1): number {
    let count = 0;
    let others = 0;
    for (const other of this.#messages(sysEx, side, MOST_TOLD)) {
      if (side * (message - other) > 0) count += 1;
      else others += 1;
      if (others === ASKED) break;
    }
    return count;
  }

  /** When it would have come, going by the first note that was heard of the song. */
  expectedMicros(sysEx: WrittenSysEx, rate: number): number {
    const note = this.#first;
    const ahead = this.#written.micros[note]! - sysEx.micros;
    return this.#heard.on.micros[this.#heardOf[note]!]! - ahead * Math.max(0.5, Math.min(2, rate || 1));
  }

  #partOf({ row, lastRow }: WrittenSysEx): SysExPart {
    const { row: rows, moment } = this.#written;
    if (this.#first < 0 || lastRow > rows[this.#last]!) return 'outside';
    if (row > rows[this.#first]!) return 'within';
    return moment[this.#first] === 0 ? 'head' : 'outside';
  }

  /** Numbers of heard messages of the nearest notes on one side of it. */
  *#messages({ row, lastRow, micros, track }: WrittenSysEx, side: -1 | 1, most: number): Generator<number> {
    const { count, row: rows, micros: times, track: tracks } = this.#written;
    const begin = side === -1 ? firstNotBefore(rows, row) - 1 : firstNotBefore(rows, lastRow + 1);
    const end = side === -1 ? Math.max(-1, begin - MOST_LOOKED_AT) : Math.min(count, begin + MOST_LOOKED_AT);
    let told = 0;
    for (let note = begin; side * (end - note) > 0 && told < most; note += side) {
      const found = this.#heardOf[note]!;
      if (found < 0) continue;
      const isApart = side * (times[note]! - micros) > SLACK_MICROS;
      const isOfItsTrack = tracks[note] === track && (side > 0 || times[note] !== micros);
      if (!isApart && !isOfItsTrack) continue;
      told += 1;
      yield this.#heard.on.message[found]!;
    }
  }
}

/**
 * Whether most notes written around one were heard: far before a recording that begins in mid-song, or behind its end, a single
 * note may have been taken for a later one of its key.
 */
function isAmongHeard(heardOf: Int32Array, note: number): boolean {
  const mostOf = (from: number, to: number) => {
    const some = heardOf.subarray(Math.max(0, from), to);
    return 2 * some.reduce((sum, found) => sum + (found >= 0 ? 1 : 0), 0) > some.length;
  };
  return mostOf(note, note + ASKED) || mostOf(note + 1 - ASKED, note + 1);
}
