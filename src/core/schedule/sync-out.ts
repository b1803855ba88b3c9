import type { Sender } from './sender.ts';

/** Clocks in one MIDI beat, the unit of Song Position Pointer: a sixteenth (MIDI 1.0, p. 27). */
const CLOCKS_PER_BEAT = 6;
const LAST_POSITION = 0x3fff;

/** Least time between Start or Continue and the next clock (MIDI 1.0, p. 30: at least 1 ms). */
export const START_GAP_MICROS = 1_000;

/** How long before a repeat the follower is sent back: 5 bytes take 1.6 ms, then the gap, with room to spare. */
export const RELOCATE_MICROS = 5_000;

/**
 * MIDI clock, Start, Continue, Stop and Song Position Pointer for a follower. A follower starts at the first
 * clock after Start or Continue (p. 30); a position pointer names a sixteenth and may only come while stopped
 * (p. 29). So after a jump the clocks up to the next sixteenth are left out, and the follower joins there.
 */
export class SyncOut {
  readonly #pulses: Float64Array;
  #next = 0;
  #running = false;
  #jumped = true;
  #waiting = false;

  /** @param pulses song time (µs) of each clock, the first at the song's start; none for no sync */
  constructor(pulses: Float64Array | undefined) {
    this.#pulses = pulses ?? new Float64Array(0);
  }

  get on(): boolean {
    return this.#pulses.length > 0;
  }

  /** Relocated ahead of a repeat: no clock until it has come. */
  get waiting(): boolean {
    return this.#waiting;
  }

  /** Writes the song time of the next clock, or Infinity. */
  nextMicros(into: Float64Array, place: number): void {
    into[place] = this.#waiting || this.#next >= this.#pulses.length ? Infinity : this.#pulses[this.#next]!;
  }

  /** The song will go on at another place: the next clock is that of the first sixteenth from there on. */
  jump(songMicros: number): void {
    if (!this.on) return;
    let low = 0;
    let high = this.#pulses.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.#pulses[middle]! < songMicros) low = middle + 1;
      else high = middle;
    }
    this.#next = Math.ceil(low / CLOCKS_PER_BEAT) * CLOCKS_PER_BEAT;
    this.#jumped = true;
  }

  /** Start at the song's first clock; after another jump Position and Continue; after a pause just Continue. */
  start(sender: Sender): void {
    if (!this.on || this.#running) return;
    if (this.#jumped && this.#next === 0) {
      sender.message(0xfa, 0, 0);
    } else {
      const beat = this.#next / CLOCKS_PER_BEAT;
      if (this.#jumped && beat > LAST_POSITION) {
        this.#next = this.#pulses.length; // beyond what a pointer can name: the follower stays stopped
        return;
      }
      if (this.#jumped) sender.message(0xf2, beat & 127, beat >> 7);
      sender.message(0xfb, 0, 0);
    }
    this.#jumped = false;
    this.#running = true;
  }

  stop(sender: Sender): void {
    if (!this.#running) return;
    sender.message(0xfc, 0, 0);
    this.#running = false;
  }

  clock(sender: Sender): void {
    sender.message(0xf8, 0, 0);
    this.#next += 1;
  }

  /** Shortly before a repeat: stop, go back, continue; the clock of the place repeated from comes with it. */
  relocate(sender: Sender, songMicros: number): void {
    if (!this.on) return;
    this.stop(sender);
    this.jump(songMicros);
    this.start(sender);
    this.#waiting = true;
  }

  repeated(): void {
    this.#waiting = false;
  }
}
