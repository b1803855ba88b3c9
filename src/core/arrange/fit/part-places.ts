import type { PlacedStretch } from './assign-parts.ts';
import { ChannelSettingsSeen } from './channel-settings-seen.ts';
import type { HeardNotes } from './heard-notes.ts';
import type { TimeOf } from './part-stretches.ts';

/** A channel that plays what the assignment gave it, and what it is set to. */
export interface Place {
  readonly channel: number;
  readonly settings: ChannelSettingsSeen;
  /** Its stretches in order of time, and which of them comes next. */
  readonly stretches: { readonly placed: PlacedStretch; readonly position: number }[];
  next: number;
  leader: number;
  /** Bank and program, or NO_SOUND. */
  sound: number;
  /** General MIDI program it sounds like. */
  like: number;
  /** [keys] row up to which each sounds with a note that came from elsewhere. */
  readonly guestUntil: Uint32Array;
  /** Tick at which it was set up: notes of other tracks at that tick may stand before it in a file. */
  setUpTick: number;
}

export const NO_SOUND = -1;

/** The channels that are given parts, and whose note is whose. */
export class PartPlaces {
  readonly all: readonly Place[];
  readonly #notes: HeardNotes;
  /** [notes] place it was given by the assignment, or -1. */
  readonly #placeOf: Int8Array;
  /** By place · 128 + key: its own notes, in order. */
  readonly #ownNotes = new Map<number, number[]>();

  /**
   * @param placed in order of time @param pauseMicros an instrument needs before it plays another sound
   * @param bendRange semitones a channel is at to begin with
   */
  constructor(
    notes: HeardNotes,
    placed: readonly PlacedStretch[],
    pauseMicros: number,
    timeOf: TimeOf,
    bendRange: number,
  ) {
    this.#notes = notes;
    this.#placeOf = new Int8Array(notes.count).fill(-1);
    const all: Place[] = [];
    for (const one of placed) {
      let at = all.findIndex(({ channel }) => channel === one.channel);
      if (at < 0) at = all.push(emptyPlace(one, bendRange)) - 1;
      all[at]!.stretches.push({ placed: one, position: positionOf(one, pauseMicros, timeOf) });
      for (const note of one.stretch.notes) this.#give(note, at);
    }
    this.all = all;
  }

  /** Undefined for a note of a stretch without a place. */
  placeOf(note: number): Place | undefined {
    return this.all[this.#placeOf[note]!];
  }

  /** A note of its own sounds that key between two rows. @param at index among `all` */
  isKeyTaken(at: number, key: number, from: number, to: number): boolean {
    const own = this.#ownNotes.get(at * 128 + key);
    if (own === undefined) return false;
    const { onRow, endRow } = this.#notes;
    let low = 0;
    let high = own.length;
    while (low < high) {
      const middle = (low + high) >>> 1;
      if (endRow[own[middle]!]! <= from) low = middle + 1;
      else high = middle;
    }
    return low < own.length && onRow[own[low]!]! < to;
  }

  #give(note: number, at: number): void {
    this.#placeOf[note] = at;
    const key = at * 128 + this.#notes.key[note]!;
    const own = this.#ownNotes.get(key);
    if (own === undefined) this.#ownNotes.set(key, [note]);
    else own.push(note);
  }
}

function emptyPlace({ channel, stretch }: PlacedStretch, bendRange: number): Place {
  return {
    channel,
    settings: new ChannelSettingsSeen(bendRange),
    stretches: [],
    next: 0,
    // The first to play there has its settings from the beginning.
    leader: stretch.leader,
    sound: NO_SOUND,
    like: 0,
    guestUntil: new Uint32Array(128),
    setUpTick: -1,
  };
}

/** The row before which a channel is set up: as late as the pause allows, and not while the last part sounds. */
function positionOf({ stretch, setUpAfter }: PlacedStretch, pauseMicros: number, timeOf: TimeOf): number {
  const latest = timeOf(stretch.startRow) - pauseMicros;
  let position = stretch.startRow;
  while (position > 0 && position - 1 > setUpAfter && timeOf(position - 1) > latest) position -= 1;
  return position;
}
