import type { VoiceStealing } from '../../instrument/instrument.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { DRUM_MICROS, type HeardNotes } from './heard-notes.ts';

/** What is asked of an instrument's voices. */
export interface VoiceSupply {
  readonly voices: number;
  readonly full: VoiceStealing;
  readonly releaseMicros: number;
}

/** What an instrument made of the notes. */
export interface PlayedNotes {
  /** [notes] song time up to which each was heard; its own onset where it was not heard at all. */
  readonly untilMicros: Float64Array;
  /** Notes taken away while they were held, or never begun. */
  readonly cut: number;
  /** Most voices in use at once, dying ones among them. */
  readonly mostVoices: number;
}

/** No end of its own was given: as the song has it. */
export const OWN_END = 0xffff_ffff;
/** The note is not sent. */
export const LEFT_OUT = 0xffff_fffe;

const NONE = -1;
const FREE = 0;
const HELD = 1;
const DYING = 2;

/**
 * Plays notes into an instrument of so many voices that does as its kind does when all of them sound: takes the
 * oldest, takes one that was let go first, or drops the new one. A key struck again takes its own voice.
 * @param endOf [notes] row with which each ends, OWN_END or LEFT_OUT
 * @param each [notes] voices that one note takes
 */
export function playedNotes(
  columns: TimelineColumns,
  durationMicros: number,
  notes: HeardNotes,
  endOf: Uint32Array | undefined,
  each: Uint8Array | undefined,
  supply: VoiceSupply,
): PlayedNotes {
  const run = new VoiceRun(columns, durationMicros, notes, each, supply);
  run.listEnds(endOf);
  return run.play(endOf);
}

class VoiceRun {
  readonly #columns: TimelineColumns;
  readonly #duration: number;
  readonly #notes: HeardNotes;
  readonly #each: Uint8Array | undefined;
  readonly #supply: VoiceSupply;
  readonly #until: Float64Array;
  readonly #state: Uint8Array;
  readonly #endHead: Int32Array;
  readonly #endNext: Int32Array;
  /** Sounding notes by age of their strike, and dying ones by when they were let go. */
  readonly #byStrike: NoteQueue;
  readonly #byRelease: NoteQueue;
  readonly #onKey = new Int32Array(2048).fill(NONE);
  #used = 0;
  #most = 0;
  #cut = 0;

  constructor(
    columns: TimelineColumns,
    duration: number,
    notes: HeardNotes,
    each: Uint8Array | undefined,
    supply: VoiceSupply,
  ) {
    this.#columns = columns;
    this.#duration = duration;
    this.#notes = notes;
    this.#each = each;
    this.#supply = supply;
    this.#until = new Float64Array(notes.count);
    this.#state = new Uint8Array(notes.count);
    this.#endHead = new Int32Array(columns.count + 1).fill(NONE);
    this.#endNext = new Int32Array(notes.count);
    this.#byStrike = new NoteQueue(notes.count);
    this.#byRelease = new NoteQueue(notes.count);
  }

  listEnds(endOf: Uint32Array | undefined): void {
    for (let note = this.#notes.count - 1; note >= 0; note -= 1) {
      const own = endOf?.[note] ?? OWN_END;
      const end = own < LEFT_OUT ? own : this.#notes.endRow[note]!;
      this.#endNext[note] = this.#endHead[end]!;
      this.#endHead[end] = note;
    }
  }

  play(endOf: Uint32Array | undefined): PlayedNotes {
    const { count, onRow } = this.#notes;
    let row = 0;
    for (let note = 0; note < count; note += 1) {
      for (; row <= onRow[note]!; row += 1) this.#endWith(row);
      const micros = this.#columns.micros[onRow[note]!]!;
      this.#until[note] = micros;
      if (endOf?.[note] !== LEFT_OUT) this.#strike(note, micros);
    }
    for (; row <= this.#columns.count; row += 1) this.#endWith(row);
    return { untilMicros: this.#until, cut: this.#cut, mostVoices: this.#most };
  }

  /** Drums that ended by themselves since the row before come first: in order of time, as they are let go. */
  #endWith(row: number): void {
    const micros = row < this.#columns.count ? this.#columns.micros[row]! : this.#duration;
    for (let note = this.#endHead[row]!; note !== NONE; note = this.#endNext[note]!) {
      const over = this.#overMicros(note);
      if (over < micros) this.#letGo(note, over);
    }
    for (let note = this.#endHead[row]!; note !== NONE; note = this.#endNext[note]!) {
      this.#letGo(note, micros);
    }
  }

  #overMicros(note: number): number {
    if (this.#notes.drum[note] === 0) return Number.POSITIVE_INFINITY;
    return this.#columns.micros[this.#notes.onRow[note]!]! + DRUM_MICROS;
  }

  #letGo(note: number, micros: number): void {
    if (this.#state[note] !== HELD) return;
    this.#until[note] = micros;
    this.#state[note] = DYING;
    this.#byRelease.add(note);
  }

  #strike(note: number, micros: number): void {
    const { releaseMicros, voices, full } = this.#supply;
    for (let old = this.#byRelease.first; old !== NONE; old = this.#byRelease.first) {
      if (this.#until[old]! + releaseMicros > micros) break;
      this.#free(old);
    }
    const place = this.#notes.channel[note]! * 128 + this.#notes.key[note]!;
    const again = this.#onKey[place]!;
    if (again !== NONE && this.#state[again] !== FREE) this.#take(again, micros);
    const needs = Math.min(voices, this.#each?.[note] ?? 1);
    while (this.#used + needs > voices) {
      if (full === 'newest') {
        this.#cut += 1;
        return;
      }
      const dying = full === 'released' ? this.#byRelease.first : NONE;
      this.#take(dying === NONE ? this.#byStrike.first : dying, micros);
    }
    this.#state[note] = HELD;
    this.#used += needs;
    this.#most = Math.max(this.#most, this.#used);
    this.#byStrike.add(note);
    this.#onKey[place] = note;
  }

  #take(note: number, micros: number): void {
    if (this.#state[note] === HELD) {
      this.#until[note] = micros;
      this.#cut += 1;
    }
    this.#free(note);
  }

  #free(note: number): void {
    if (this.#state[note] === DYING) this.#byRelease.remove(note);
    this.#byStrike.remove(note);
    this.#used -= Math.min(this.#supply.voices, this.#each?.[note] ?? 1);
    this.#state[note] = FREE;
  }
}

/** Notes in the order they came, any of which may leave. */
class NoteQueue {
  readonly #next: Int32Array;
  readonly #before: Int32Array;
  #last = NONE;
  first = NONE;

  constructor(notes: number) {
    this.#next = new Int32Array(notes);
    this.#before = new Int32Array(notes);
  }

  add(note: number): void {
    this.#before[note] = this.#last;
    this.#next[note] = NONE;
    if (this.#last === NONE) this.first = note;
    else this.#next[this.#last] = note;
    this.#last = note;
  }

  remove(note: number): void {
    const next = this.#next[note]!;
    const before = this.#before[note]!;
    if (before === NONE) this.first = next;
    else this.#next[before] = next;
    if (next === NONE) this.#last = before;
    else this.#before[next] = before;
  }
}
