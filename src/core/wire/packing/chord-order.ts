import type { TimelineColumns } from '../../timeline/timeline.ts';

/**
 * How soon a part must be heard, by General MIDI program family (programs 0–7, 8–15, …): 0 first.
 * Struck and plucked sounds show their onset sharply; bowed, sung and swelling ones hide a few milliseconds
 * in their rise (that slow rises hide asynchrony: Rasch 1979, from memory; the ranking: common practice, no source).
 */
const FAMILY_HASTE: readonly number[] = [
  2, // piano
  2, // chromatic percussion
  3, // organ
  2, // guitar
  1, // bass
  4, // strings
  5, // ensemble
  3, // brass
  3, // reed
  3, // pipe
  3, // synth lead
  6, // synth pad
  6, // synth effects
  2, // ethnic
  2, // percussive
  6, // sound effects
];

/** Bass drums and snares carry the beat (General MIDI percussion map, 35–40). */
const isBeat = (key: number) => key === 35 || key === 36 || key === 38 || key === 40;

/** A part of so many notes may lead because the receiver holds its status: that delays the drums by 1.3 ms at most. */
const SMALL_PART = 2;

/** Up to here sorting by insertion is quickest, and it makes no garbage. */
const SMALL_CHORD = 48;

/** Steps between ranks: loudness (0–127) orders inside a rank, and a part's notes (below 4,096) inside a part. */
const LOUDNESS = 1024;
const PART = 4096;

/**
 * The order in which a chord that is larger than the wire is best spread. A small part whose status the
 * receiver already holds leads, for that saves a byte (0.32 ms) for all. Then drums, then bass, then the part
 * with the top note, then sharp onsets before soft ones, loud before quiet. Within a part the outer notes go
 * before the inner ones: bass and melody are followed by the ear, inner voices are not (common practice, no
 * source). Notes of one channel stay together so that they share a status byte.
 */
export class ChordOrder {
  readonly #columns: TimelineColumns;
  readonly #notes = new Uint32Array(16);
  readonly #loudest = new Uint8Array(16);
  readonly #lowest = new Uint8Array(16);
  readonly #highest = new Uint8Array(16);
  readonly #haste = new Float64Array(16);
  /** Scratch: the haste of each row of the chord. */
  #rank = new Float64Array(64);
  readonly #strictFrom: Uint32Array;

  readonly #drumChannels: number;

  constructor(columns: TimelineColumns, strictFrom: Uint32Array, drumChannels: number) {
    this.#columns = columns;
    this.#drumChannels = drumChannels;
    this.#strictFrom = strictFrom;
  }

  /**
   * Sorts `rows[from … to-1]` (note-on rows of one moment) in place.
   * @param programs [16] program in force on each channel
   * @param heldStatus the status the receiver holds
   */
  sort(rows: Uint32Array, from: number, to: number, programs: Uint8Array, heldStatus: number): void {
    const { status, data1, data2 } = this.#columns;
    let top = 0;
    let topChannel = -1;
    let used = 0;
    for (let i = from; i < to; i += 1) {
      const row = rows[i]!;
      const channel = status[row]! & 0x0f;
      const key = data1[row]!;
      if ((used & (1 << channel)) === 0) {
        used |= 1 << channel;
        this.#notes[channel] = 0;
        this.#loudest[channel] = 0;
        this.#lowest[channel] = 127;
        this.#highest[channel] = 0;
      }
      this.#notes[channel]! += 1;
      if (data2[row]! > this.#loudest[channel]!) this.#loudest[channel] = data2[row]!;
      if (key < this.#lowest[channel]!) this.#lowest[channel] = key;
      if (key > this.#highest[channel]!) this.#highest[channel] = key;
      if (!this.#isDrums(channel) && key >= top) {
        top = key;
        topChannel = channel;
      }
    }
    for (let left = used; left !== 0; left &= left - 1) {
      const channel = 31 - Math.clz32(left & -left);
      const family = FAMILY_HASTE[programs[channel]! >> 3]!;
      const rank = this.#isDrums(channel) ? 0 : channel === topChannel ? Math.min(family, 2) - 0.5 : family;
      const leads = heldStatus === (0x90 | channel) && this.#notes[channel]! <= SMALL_PART;
      this.#haste[channel] = leads ? -PART : rank * LOUDNESS - this.#loudest[channel]!;
    }
    if (to - from > this.#rank.length) this.#rank = new Float64Array(2 * (to - from));
    for (let i = from; i < to; i += 1) this.#rank[i - from] = this.#hasteOf(rows[i]!);
    if (to - from <= SMALL_CHORD) this.#insert(rows, from, to);
    else this.#sortMany(rows, from, to);
  }

  #isDrums(channel: number): boolean {
    return (this.#drumChannels & (1 << channel)) !== 0;
  }

  #insert(rows: Uint32Array, from: number, to: number): void {
    const ranks = this.#rank;
    for (let i = from + 1; i < to; i += 1) {
      const row = rows[i]!;
      const rank = ranks[i - from]!;
      let at = i;
      for (; at > from && ranks[at - 1 - from]! > rank; at -= 1) {
        rows[at] = rows[at - 1]!;
        ranks[at - from] = ranks[at - 1 - from]!;
      }
      rows[at] = row;
      ranks[at - from] = rank;
    }
  }

  #sortMany(rows: Uint32Array, from: number, to: number): void {
    const places = Array.from({ length: to - from }, (_, i) => i);
    places.sort((a, b) => this.#rank[a]! - this.#rank[b]! || a - b);
    rows.set(
      places.map((place) => rows[from + place]!),
      from,
    );
  }

  /** Channels far apart, so that each stays together; inside a channel, outer notes first. */
  #hasteOf(row: number): number {
    const { status, data1, data2 } = this.#columns;
    const channel = status[row]! & 0x0f;
    const key = data1[row]!;
    const part = (this.#haste[channel]! * 16 + channel) * PART;
    if (row >= this.#strictFrom[channel]!) return part;
    if (this.#isDrums(channel)) return part + (isBeat(key) ? 0 : 1024) + (127 - data2[row]!);
    const depth = Math.min(key - this.#lowest[channel]!, this.#highest[channel]! - key);
    return part + depth * 2 + (key === this.#lowest[channel] ? 0 : 1);
  }
}
