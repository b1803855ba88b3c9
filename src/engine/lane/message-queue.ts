import { DATA_BYTES, isNoteOn } from '../../core/midi/status.ts';
import { At } from '../../core/schedule/outlet.ts';

/**
 * What a port could not take yet, in sending order: a ring of rows made once, and a ring of bytes for SysEx.
 *
 *   word    u32  status<<16 | data1<<8 | data2; DROPPED for a row taken out of the middle
 *   length  u32  0 for a message of 1–3 bytes, else bytes of SysEx that lie next in the byte ring
 *   due     f64  run time (µs) the message was due
 *   song    f64  song time (µs), −1 for what is not in the song
 *   came    f64  run time (µs) at which it was put here
 *
 * It grows by doubling, since losing a message would be worse than a moment's garbage; a song that fits its
 * wire never gets there.
 */
export class MessageQueue {
  rows = 0;
  /** Wire bytes waiting, counted without running status. */
  waitingBytes = 0;

  #word = new Uint32Array(FIRST_ROWS);
  #length = new Uint32Array(FIRST_ROWS);
  #due = new Float64Array(FIRST_ROWS);
  #song = new Float64Array(FIRST_ROWS);
  #came = new Float64Array(FIRST_ROWS);
  #head = 0;
  #bytes = new Uint8Array(FIRST_BYTES);
  #bytesHead = 0;
  #bytesUsed = 0;

  /**
   * @param at the message's moments, as `At` lays them out
   * @param now register: run time
   */
  add(word: number, wireBytes: number, at: Float64Array, now: Float64Array): void {
    if (this.rows === this.#word.length) this.#growRows();
    const row = (this.#head + this.rows) % this.#word.length;
    this.#word[row] = word;
    this.#length[row] = 0;
    this.#due[row] = at[At.dueMicros]!;
    this.#song[row] = at[At.songMicros]!;
    this.#came[row] = now[0]!;
    this.rows += 1;
    this.waitingBytes += wireBytes;
  }

  /** Adds one piece of SysEx: `bytes[start] … bytes[start+length-1]`, copied. */
  addBytes(
    word: number,
    bytes: Uint8Array,
    start: number,
    length: number,
    at: Float64Array,
    now: Float64Array,
  ): void {
    while (this.#bytesUsed + length > this.#bytes.length) this.#growBytes();
    const tail = this.#bytesHead + this.#bytesUsed;
    for (let i = 0; i < length; i += 1) {
      this.#bytes[(tail + i) % this.#bytes.length] = bytes[start + i]!;
    }
    this.#bytesUsed += length;
    this.add(word, length, at, now);
    this.#length[(this.#head + this.rows - 1) % this.#word.length] = length;
  }

  /** The oldest row's word. */
  headWord(): number {
    return this.#word[this.#head]!;
  }

  /** The oldest row's SysEx length, 0 for a plain message. */
  headLength(): number {
    return this.#length[this.#head]!;
  }

  /** The oldest row's moments, as `At` lays them out, and in `came[0]` the run time at which it was put here. */
  headTimes(into: Float64Array, came: Float64Array): void {
    into[At.dueMicros] = this.#due[this.#head]!;
    into[At.songMicros] = this.#song[this.#head]!;
    came[0] = this.#came[this.#head]!;
  }

  /** Copies the oldest row's SysEx bytes to the front of `into`. */
  headBytes(into: Uint8Array): void {
    const length = this.headLength();
    for (let i = 0; i < length; i += 1) {
      into[i] = this.#bytes[(this.#bytesHead + i) % this.#bytes.length]!;
    }
  }

  removeHead(wireBytes: number): void {
    const length = this.headLength();
    this.#bytesHead = (this.#bytesHead + length) % this.#bytes.length;
    this.#bytesUsed -= length;
    this.#head = (this.#head + 1) % this.#word.length;
    this.rows -= 1;
    this.waitingBytes -= wireBytes;
  }

  /**
   * Takes the note-ons of the channels in `channels` (bit n = channel n) out of the queue, and for each one
   * note-off that follows it: before a silence, what was never struck need not be struck. Note-offs of notes
   * that were, and everything else, stay in order.
   * @param unstruck [2048] by channel and key: counts up for each note-on whose note-off was not met
   */
  dropUnstruck(channels: number, unstruck: Uint16Array): void {
    for (let i = 0; i < this.rows; i += 1) {
      const row = (this.#head + i) % this.#word.length;
      const word = this.#word[row]!;
      const status = word >>> 16;
      if ((status & 0xe0) !== 0x80 || (channels & (1 << (status & 15))) === 0) continue; // 8n and 9n
      const cell = (status & 15) * 128 + ((word >>> 8) & 127);
      const waiting = unstruck[cell]!;
      if (isNoteOn(status, word & 127)) unstruck[cell] = waiting + 1;
      else if (waiting > 0) unstruck[cell] = waiting - 1;
      else continue;
      this.#word[row] = DROPPED;
      this.waitingBytes -= 3;
    }
  }

  /**
   * Takes out all but notes: at the end of a run nobody needs what was still to be set.
   * @returns true when the beginning of the last SysEx was among it
   */
  dropOthers(): boolean {
    let beginsSysEx = false;
    for (let i = 0; i < this.rows; i += 1) {
      const row = (this.#head + i) % this.#word.length;
      const word = this.#word[row]!;
      if (((word >>> 16) & 0xe0) === 0x80 || word === DROPPED) continue;
      if (word >>> 16 === 0xf0) beginsSysEx = true;
      this.#word[row] = DROPPED;
      this.waitingBytes -= Math.max(this.#length[row]!, wireLength(word >>> 16));
    }
    return beginsSysEx;
  }

  clear(): void {
    this.rows = 0;
    this.waitingBytes = 0;
    this.#bytesUsed = 0;
  }

  #growRows(): void {
    const size = this.#word.length;
    const order = Uint32Array.from({ length: this.rows }, (_, i) => (this.#head + i) % size);
    const unroll = <T extends Uint32Array | Float64Array>(from: T, into: T): T => {
      for (let i = 0; i < order.length; i += 1) into[i] = from[order[i]!]!;
      return into;
    };
    this.#word = unroll(this.#word, new Uint32Array(size * 2));
    this.#length = unroll(this.#length, new Uint32Array(size * 2));
    this.#due = unroll(this.#due, new Float64Array(size * 2));
    this.#song = unroll(this.#song, new Float64Array(size * 2));
    this.#came = unroll(this.#came, new Float64Array(size * 2));
    this.#head = 0;
  }

  #growBytes(): void {
    const size = this.#bytes.length;
    const bytes = new Uint8Array(size * 2);
    for (let i = 0; i < this.#bytesUsed; i += 1) {
      bytes[i] = this.#bytes[(this.#bytesHead + i) % size]!;
    }
    this.#bytes = bytes;
    this.#bytesHead = 0;
  }
}

/** Whole length of a message that is not SysEx. */
export function wireLength(status: number): number {
  return 1 + DATA_BYTES[status]!;
}

/** No message: status 0 does not exist. */
export const DROPPED = 0;
/** 4,096 messages are about four seconds of a full wire. */
const FIRST_ROWS = 4096;
const FIRST_BYTES = 8192;
