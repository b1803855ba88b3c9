import { Cc } from '../../midi/controllers.ts';
import { isNoteOff, isNoteOn } from '../../timeline/note-row.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { timelineColumns } from '../../timeline/timeline-columns.ts';
import { isGlide, isHoldPedal, isPlainState } from './controller-rules.ts';

/** Places within a moment, in this order. */
const RELEASES = 0;
const SETUP = 1;
const REST = 2;

/**
 * The order of rows that packing starts from: the timeline's, but within one moment
 *
 * - the note-offs of notes struck earlier stand first. A note that ends now does not need the volume, bend or
 *   program that is set now; set after it has ended, they cannot be heard on it. Note-offs stay behind pedals,
 *   mode messages and SysEx, for these decide what a note-off does;
 * - with `setupFirst`, what a channel is told between two of its notes stands before both: controllers, bends
 *   and pressure that a sounding note takes on at once. In the moment in which a channel sounds first, all else
 *   too, its first program among it; and in the song's first, SysEx. Never a second program, nor a note-off of
 *   the same moment, nor anything behind these.
 */
export function momentOrder(columns: TimelineColumns, setupFirst: boolean): Uint32Array {
  const { count } = columns;
  const order = new Uint32Array(count);
  const places = new MomentPlaces(columns, setupFirst);
  for (let from = 0, to = 0; from < count; from = to) {
    to = places.place(from);
    let release = from;
    let setup = from + places.releases;
    let rest = setup + places.setups;
    for (let row = from; row < to; row += 1) {
      const place = places.of[row]!;
      order[place === RELEASES ? release++ : place === SETUP ? setup++ : rest++] = row;
    }
  }
  return order;
}

/** Moments are counted from 1; a number in a table below says in which moment that happened last. */
class MomentPlaces {
  /** [row] RELEASES, SETUP or REST. */
  readonly of: Uint8Array;
  /** How many rows of the moment have these places. */
  releases = 0;
  setups = 0;
  readonly #columns: TimelineColumns;
  readonly #setupFirst: boolean;
  #moment = 0;
  readonly #struck = new Uint32Array(2048);
  readonly #sounded = new Uint32Array(16);
  /** [16] the moment in which the channel sounded first; 0 for not yet. */
  readonly #entered = new Uint32Array(16);
  #firstEntry = 0;
  readonly #programmed = new Uint8Array(16);
  /** [16] 1 once the order of the channel's notes is part of the sound. */
  readonly #strict = new Uint8Array(16);
  /** Something keeps the channel's note-offs, its setups in their place; the latter of any channel. */
  readonly #keepsReleases = new Uint32Array(16);
  readonly #keepsSetup = new Uint32Array(16);
  #keepsAny = 0;
  /** [16] the channel's last note-on row in the moment. */
  readonly #lastOnset = new Uint32Array(16);

  constructor(columns: TimelineColumns, setupFirst: boolean) {
    this.#columns = columns;
    this.#setupFirst = setupFirst;
    this.of = new Uint8Array(columns.count).fill(REST);
  }

  /** Gives the rows of the moment that begins at `from` their places; returns the row behind it. */
  place(from: number): number {
    const { count, micros, status } = this.#columns;
    this.#moment += 1;
    this.releases = 0;
    this.setups = 0;
    let end = from;
    for (; end < count && micros[end] === micros[from]; end += 1) {
      if (isNoteOn(this.#columns, end)) this.#lastOnset[status[end]! & 0x0f] = end;
    }
    for (let row = from; row < end; row += 1) {
      if (status[row]! < 0xf0) this.#placeRow(row, status[row]!);
      // SysEx that stays ends a moment: nothing passes it.
      else if (!this.#mayLead(row, end)) return row + 1;
      else {
        this.#setUp(row);
        this.#keepsReleases.fill(this.#moment);
      }
    }
    return end;
  }

  #placeRow(row: number, status: number): void {
    const channel = status & 0x0f;
    const key = this.#columns.data1[row]!;
    if (isNoteOn(this.#columns, row)) {
      this.#strike(channel, key);
      if (this.#strict[channel] === 1) this.#keep(channel);
    } else if (isNoteOff(this.#columns, row)) {
      const stays =
        this.#keepsReleases[channel] === this.#moment ||
        this.#struck[channel * 128 + key] === this.#moment ||
        this.#strict[channel] === 1;
      if (stays) {
        this.#keep(channel);
      } else {
        this.of[row] = RELEASES;
        this.releases += 1;
      }
    } else {
      const isFirstProgram = this.#programmed[channel] === 0;
      this.#note(channel, status, row);
      if (this.#isSetup(row, status, channel, isFirstProgram)) this.#setUp(row);
      else this.#keep(channel);
    }
  }

  #isSetup(row: number, status: number, channel: number, isFirstProgram: boolean): boolean {
    const moment = this.#moment;
    if (!this.#setupFirst || this.#strict[channel] === 1 || this.#keepsSetup[channel] === moment)
      return false;
    if (this.#sounded[channel] !== moment) return true;
    if (row > this.#lastOnset[channel]!) return false;
    if (this.#entered[channel] !== moment) return isPlainState(status, this.#columns.data1[row]!);
    const kind = status & 0xf0;
    return kind === 0xc0 ? isFirstProgram : kind !== 0xa0;
  }

  /** In the song's first moment with notes, SysEx stands before them, if all that stood before it still does. */
  #mayLead(row: number, end: number): boolean {
    const isFirst = this.#firstEntry === this.#moment;
    if (!this.#setupFirst || !isFirst || this.#keepsAny === this.#moment) return false;
    for (let later = row + 1; later < end; later += 1) if (isNoteOn(this.#columns, later)) return true;
    return false;
  }

  #strike(channel: number, key: number): void {
    this.#struck[channel * 128 + key] = this.#moment;
    this.#sounded[channel] = this.#moment;
    if (this.#entered[channel] === 0) this.#entered[channel] = this.#moment;
    if (this.#firstEntry === 0) this.#firstEntry = this.#moment;
  }

  /** Remembers what a message that is no note means for those behind it. */
  #note(channel: number, status: number, row: number): void {
    const { data1, data2 } = this.#columns;
    if ((status & 0xf0) === 0xc0) this.#programmed[channel] = 1;
    if ((status & 0xf0) !== 0xb0) return;
    if (isHoldPedal(data1[row]!) || data1[row]! >= Cc.allSoundOff)
      this.#keepsReleases[channel] = this.#moment;
    if (isGlide(data1[row]!, data2[row]!)) {
      this.#strict[channel] = 1;
      this.#keepsReleases[channel] = this.#moment;
    }
  }

  #setUp(row: number): void {
    this.of[row] = SETUP;
    this.setups += 1;
  }

  #keep(channel: number): void {
    this.#keepsSetup[channel] = this.#moment;
    this.#keepsAny = this.#moment;
  }
}

/** The columns with their rows in another order (only what packing reads; payloads stay where they are). */
export function reordered(columns: TimelineColumns, order: Uint32Array): TimelineColumns {
  const { count } = columns;
  const status = new Uint8Array(count);
  const data1 = new Uint8Array(count);
  const data2 = new Uint8Array(count);
  const payload = new Uint32Array(count);
  for (let i = 0; i < count; i += 1) {
    const row = order[i]!;
    status[i] = columns.status[row]!;
    data1[i] = columns.data1[row]!;
    data2[i] = columns.data2[row]!;
    payload[i] = columns.payload[row]!;
  }
  return timelineColumns({ ...columns, status, data1, data2, payload });
}
