import type { TimelineColumns } from '../../timeline/timeline.ts';
import type { HeardNotes } from './heard-notes.ts';
import { Role } from './note-role.ts';

/** Bass drums, side stick, snares and clap of General MIDI's percussion map: what a listener counts by. */
const BEAT_LOW = 35;
const BEAT_HIGH = 40;

/**
 * [notes] the role of each: the two highest keys that sound at its moment are melody, the lowest is the bottom; of
 * notes struck together on one key, or on octaves of it, all but the loudest are doubles.
 */
export function noteRoles(columns: TimelineColumns, notes: HeardNotes): Uint8Array {
  const { count, onRow, key, drum } = notes;
  const { tick } = columns;
  const role = new Uint8Array(count).fill(Role.inner);
  const keys = new SoundingKeyCounts(columns.count, notes);
  const loudest = new LoudestNotes(notes);
  for (let from = 0; from < count; ) {
    let to = from + 1;
    while (to < count && tick[onRow[to]!] === tick[onRow[from]!]) to += 1;
    for (let note = from; note < to; note += 1) keys.add(note);
    const top = keys.secondHighest();
    const bottom = keys.lowest();
    loudest.find(from, to);
    for (let note = from; note < to; note += 1) {
      const at = key[note]!;
      if (drum[note]) role[note] = at >= BEAT_LOW && at <= BEAT_HIGH ? Role.beat : Role.inner;
      else if (!loudest.isOnKey(note)) role[note] = Role.unisonDouble;
      else if (at >= top) role[note] = Role.top;
      else if (at === bottom) role[note] = Role.bottom;
      else if (!loudest.isOnStep(note)) role[note] = Role.octaveDouble;
    }
    from = to;
  }
  return role;
}

/** Of notes struck together: the loudest on each key, and on each step of the octave. */
class LoudestNotes {
  readonly #notes: HeardNotes;
  /** [keys, then 12 steps] note */
  readonly #loudest = new Int32Array(128 + 12);

  constructor(notes: HeardNotes) {
    this.#notes = notes;
  }

  find(from: number, to: number): void {
    const { key, drum } = this.#notes;
    this.#loudest.fill(-1);
    for (let note = from; note < to; note += 1) {
      if (drum[note]) continue;
      this.#take(key[note]!, note);
      this.#take(128 + (key[note]! % 12), note);
    }
  }

  isOnKey(note: number): boolean {
    return this.#loudest[this.#notes.key[note]!] === note;
  }

  isOnStep(note: number): boolean {
    return this.#loudest[128 + (this.#notes.key[note]! % 12)] === note;
  }

  #take(place: number, note: number): void {
    const { loudness } = this.#notes;
    const other = this.#loudest[place]!;
    if (other < 0 || loudness[note]! > loudness[other]!) this.#loudest[place] = note;
  }
}

/** How many notes sound on each key, all channels but the drums taken together. */
class SoundingKeyCounts {
  readonly #notes: HeardNotes;
  readonly #counts = new Uint16Array(128);
  /** Bits of the keys that sound, 32 to a word. */
  readonly #sounding = new Uint32Array(4);
  /** Notes that end with each row, as lists. */
  readonly #endHead: Int32Array;
  readonly #endNext: Int32Array;
  #row = 0;

  constructor(rows: number, notes: HeardNotes) {
    this.#notes = notes;
    this.#endHead = new Int32Array(rows + 1).fill(-1);
    this.#endNext = new Int32Array(notes.count);
    for (let note = 0; note < notes.count; note += 1) {
      this.#endNext[note] = this.#endHead[notes.endRow[note]!]!;
      this.#endHead[notes.endRow[note]!] = note;
    }
  }

  add(note: number): void {
    this.#goTo(this.#notes.onRow[note]!);
    if (this.#notes.drum[note]) return;
    const key = this.#notes.key[note]!;
    this.#counts[key]! += 1;
    this.#sounding[key >> 5]! |= 1 << (key & 31);
  }

  #goTo(row: number): void {
    for (; this.#row <= row; this.#row += 1) {
      for (let note = this.#endHead[this.#row]!; note >= 0; note = this.#endNext[note]!) {
        if (!this.#notes.drum[note]) this.#end(this.#notes.key[note]!);
      }
    }
  }

  #end(key: number): void {
    this.#counts[key]! -= 1;
    if (this.#counts[key] === 0) this.#sounding[key >> 5]! &= ~(1 << (key & 31));
  }

  secondHighest(): number {
    let seen = 0;
    for (let word = 3; word >= 0; word -= 1) {
      for (let bits = this.#sounding[word]!; bits !== 0; seen += 1) {
        const bit = 31 - Math.clz32(bits);
        if (seen === 1) return word * 32 + bit;
        bits &= ~(1 << bit);
      }
    }
    return 0;
  }

  /** Below all keys where none sounds. */
  lowest(): number {
    const word = this.#sounding.findIndex((bits) => bits !== 0);
    const bits = this.#sounding[word] ?? 0;
    return word * 32 + 31 - Math.clz32(bits & -bits);
  }
}
