import { halvesPerBit, TAPE_BITS_PER_BYTE, TAPE_MARK_HZ, type TapeBaud } from './tape-format.ts';

/** Characters as they were found on a tape, in order. */
export interface TapeBytes {
  readonly values: Uint8Array;
  /** 1 where start and stop bit stood and every bit was clear; 0: a place kept for a character that was hit. */
  readonly clear: Uint8Array;
  /** Seconds into the recording at which each begins. */
  readonly seconds: Float64Array;
}

/**
 * Turns zero crossings into characters, and follows the tape's speed as it goes: the length of a half cycle of the
 * mark is learned from the leader and kept up to date with every bit. A bit is judged by how many half cycles fall
 * into its time (a one has twice as many as a zero), so one crossing too many or too few does no harm.
 * Where a character is hit, its place is kept by time, so that the ones behind it stay in their places.
 */
export function tapeBytes(crossings: Float64Array, baud: TapeBaud): TapeBytes {
  const decoder = new TapeDecoder(crossings, halvesPerBit(baud));
  decoder.run();
  return decoder.taken();
}

/** Seconds of a half cycle of the mark on a tape that runs as it should. */
const NOMINAL = 1 / (2 * TAPE_MARK_HZ);
/** A tape may be so much too slow or too fast. */
const SLOWEST = 1.27;
const FASTEST = 0.79;
/** Whole cycles alike, each a half further on, that make a leader: two bits of mark at 1200 baud. */
const LEADER = 6;
/** A place is kept for so many characters in a row; then the block is given up and a leader looked for. */
const MOST_KEPT = 24;

class TapeDecoder {
  readonly #at: Float64Array;
  readonly #perBit: number;
  readonly #values: number[] = [];
  readonly #clear: number[] = [];
  readonly #seconds: number[] = [];
  /** Index of the crossing looked at. */
  #next = 2;
  /** Half cycle of the mark now, in seconds; 0: not known. */
  #half = 0;
  #isClear = true;
  /** End of the character read last. */
  #end = 0;

  constructor(crossings: Float64Array, perBit: number) {
    this.#at = crossings;
    this.#perBit = perBit;
  }

  taken(): TapeBytes {
    return {
      values: Uint8Array.from(this.#values),
      clear: Uint8Array.from(this.#clear),
      seconds: Float64Array.from(this.#seconds),
    };
  }

  run(): void {
    while (this.#findLeader()) {
      const start = this.#findStart(Number.POSITIVE_INFINITY);
      // Undefined where the sound broke off in the leader.
      if (start !== undefined) this.#readCharacters(start);
    }
  }

  /** Goes on to a stretch of mark and learns the speed from it. */
  #findLeader(): boolean {
    let run = 0;
    let first = 0;
    for (; this.#next < this.#at.length; this.#next += 1) {
      const whole = this.#at[this.#next]! - this.#at[this.#next - 2]!;
      const isMark = whole > 2 * NOMINAL * FASTEST && whole < 2 * NOMINAL * SLOWEST;
      const isAlike = run === 0 || Math.abs(whole - first) < 0.12 * first;
      if (!isMark || !isAlike) {
        run = 0;
        continue;
      }
      first += (whole - first) / (run + 1);
      run += 1;
      if (run < LEADER) continue;
      this.#half = first / 2;
      return true;
    }
    return false;
  }

  /**
   * Walks along the mark to the next start bit, learning the speed on the way.
   * @param until seconds at which to give up
   * @returns its moment
   */
  #findStart(until: number): number | undefined {
    const at = this.#at;
    for (; this.#next < at.length; this.#next += 1) {
      const i = this.#next;
      if (at[i - 2]! > until) return undefined;
      const whole = at[i]! - at[i - 2]!;
      // Two long half cycles are four times the mark's half; one long and one short only three. What is longer still is
      // sound that broke off.
      if (whole > 3.4 * this.#half) return whole < 5.2 * this.#half ? at[i - 2]! : undefined;
      if (whole < 2.3 * this.#half && whole > 1.7 * this.#half) this.#half += 0.02 * (whole / 2 - this.#half);
    }
    return undefined;
  }

  /** Reads characters on end from `start` until none follows; keeps places for those that were hit. */
  #readCharacters(start: number): void {
    let kept = 0;
    let from: number | undefined = start;
    for (;;) {
      if (from !== undefined) {
        this.#readCharacter(from);
        kept = this.#isClear ? 0 : kept + 1;
      } else {
        // Nothing that could be a start bit where one was due.
        const due: number = this.#end;
        this.#put(due, 0, 0);
        this.#end = due + this.#characterSeconds();
        kept += 1;
      }
      if (kept > MOST_KEPT || this.#end > (this.#at.at(-1) ?? 0)) break;
      this.#seek(this.#end - 1.2 * this.#half);
      const due = this.#end;
      const latest = due + 1.5 * this.#perBit * this.#half;
      from = this.#findStart(latest);
      const isOnTime = from !== undefined && Math.abs(from - due) < 0.75 * this.#perBit * this.#half;
      // A sender may take its time, as long as it sounds the mark.
      if (isOnTime || (from !== undefined && this.#isMark(due, from))) continue;
      if (this.#isMark(due, latest)) break;
      from = undefined;
    }
    for (let n = 0; n < kept; n += 1) this.#drop();
  }

  /** Bits from the start bit on; the second stop bit is waited for, and not looked at. */
  #readCharacter(start: number): void {
    const bitSeconds = () => this.#perBit * this.#half;
    let edge = start;
    let value = 0;
    let isClear = true;
    for (let bit = 0; bit < TAPE_BITS_PER_BYTE - 1; bit += 1) {
      const share = this.#halvesBetween(edge, edge + bitSeconds()) / this.#perBit;
      const isOne = share > 0.75;
      // An eighth to either side of the middle is no man's land.
      if (Math.abs(share - 0.75) < 0.08 || share > 1.3 || share < 0.3) isClear = false;
      if (bit === 0 ? isOne : bit === 9 && !isOne) isClear = false;
      if (bit > 0 && bit < 9 && isOne) value |= 1 << (bit - 1);
      edge = this.#settle(edge, bitSeconds(), isClear);
    }
    this.#isClear = isClear;
    this.#put(start, value, isClear ? 1 : 0);
    this.#end = isClear ? edge + bitSeconds() : start + this.#characterSeconds();
  }

  /** The end of a bit that began at `edge`: by time, drawn half way to the crossing that marks it. */
  #settle(edge: number, seconds: number, isClear: boolean): number {
    const due = edge + seconds;
    if (!isClear) return due;
    const at = this.#at;
    this.#seek(due);
    const after = at[this.#next] ?? due;
    const ahead = at[this.#next - 1] ?? due;
    const near = after - due < due - ahead ? after : ahead;
    const off = near - due;
    if (Math.abs(off) > 0.5 * this.#half) return due;
    // Kept up to date with the speed, slowly: one bit says little.
    this.#half *= 1 + (SPEED_GAIN * off) / seconds;
    return due + 0.5 * off;
  }

  #characterSeconds(): number {
    return TAPE_BITS_PER_BYTE * this.#perBit * this.#half;
  }

  /** Half cycles from one moment to another; what is begun counts by its share. */
  #halvesBetween(from: number, to: number): number {
    return this.#halvesUpTo(to) - this.#halvesUpTo(from);
  }

  #halvesUpTo(moment: number): number {
    this.#seek(moment);
    const i = this.#next;
    const before = this.#at[i - 1] ?? 0;
    const after = this.#at[i];
    if (after === undefined || after === before) return i;
    return i + (moment - before) / (after - before);
  }

  /** Makes `#next` the first crossing after `moment`. */
  #seek(moment: number): void {
    const at = this.#at;
    while (at[this.#next]! <= moment) this.#next += 1;
    while (this.#next > 2 && at[this.#next - 1]! > moment) this.#next -= 1;
  }

  /** Whether the mark sounds from one moment to another. */
  #isMark(from: number, to: number): boolean {
    return Math.abs((this.#halvesBetween(from, to) * this.#half) / (to - from) - 1) < 0.12;
  }

  #put(seconds: number, value: number, clear: number): void {
    this.#seconds.push(seconds);
    this.#values.push(value);
    this.#clear.push(clear);
  }

  #drop(): void {
    this.#seconds.pop();
    this.#values.pop();
    this.#clear.pop();
  }
}

const SPEED_GAIN = 0.15;
