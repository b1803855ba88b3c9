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
  for (let from = 0; from < count; ) {
    let to = from + 1;
    while (to < count && tick[onRow[to]!] === tick[onRow[from]!]) to += 1;
    keys.goTo(onRow[from]!);
    for (let note = from; note < to; note += 1) keys.add(note);
    const top = keys.secondHighest();
    const bottom = keys.lowest();
    const loudest = loudestOf(notes, from, to);
    for (let note = from; note < to; note += 1) {
      const at = key[note]!;
      if (drum[note]) role[note] = at >= BEAT_LOW && at <= BEAT_HIGH ? Role.beat : Role.inner;
      else if (loudest.get(at) !== note) role[note] = Role.unisonDouble;
      else if (at >= top) role[note] = Role.top;
      else if (at === bottom) role[note] = Role.bottom;
      else if (loudest.get(128 + (at % 12)) !== note) role[note] = Role.octaveDouble;
    }
    from = to;
  }
  return role;
}

/** Loudest note by key, and by 128 + its step in the octave. */
function loudestOf({ key, drum, loudness }: HeardNotes, from: number, to: number): Map<number, number> {
  const loudest = new Map<number, number>();
  for (let note = from; note < to; note += 1) {
    if (drum[note]) continue;
    for (const place of [key[note]!, 128 + (key[note]! % 12)]) {
      const other = loudest.get(place);
      if (other === undefined || loudness[note]! > loudness[other]!) loudest.set(place, note);
    }
  }
  return loudest;
}

/** How many notes sound on each key, all channels but the drums taken together. */
class SoundingKeyCounts {
  readonly #notes: HeardNotes;
  readonly #counts = new Uint16Array(128);
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

  goTo(row: number): void {
    for (; this.#row <= row; this.#row += 1) {
      for (let note = this.#endHead[this.#row]!; note >= 0; note = this.#endNext[note]!) {
        if (!this.#notes.drum[note]) this.#counts[this.#notes.key[note]!]! -= 1;
      }
    }
  }

  add(note: number): void {
    this.goTo(this.#notes.onRow[note]!);
    if (!this.#notes.drum[note]) this.#counts[this.#notes.key[note]!]! += 1;
  }

  secondHighest(): number {
    let seen = 0;
    for (let key = 127; key >= 0; key -= 1) {
      if (this.#counts[key]! > 0 && ++seen === 2) return key;
    }
    return 0;
  }

  lowest(): number {
    return this.#counts.findIndex((count) => count > 0);
  }
}
