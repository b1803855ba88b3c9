import { Cc } from '../midi/controllers.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';

/**
 * Controllers that may be thinned: continuous ones that act at once and need no partner (MIDI 1.0, Table III).
 * Not bank (0, 32), data entry (6, 38), portamento time and control (5, 84: they speak of the next note), pedals
 * and switches (64–69), parameter numbers and steps (96–101), velocity prefix (88), mode messages (120–127).
 */
export const THINNED_CONTROLLERS: ReadonlySet<number> = new Set([
  1, 2, 4, 7, 8, 10, 11, 12, 13, 16, 17, 18, 19, 70, 71, 72, 73, 74, 75, 76, 77, 78, 79, 91, 92, 93, 94, 95,
]);

const NONE = -1;
const CHANNELS = 16;
const KEY_PRESSURE = 128;
const PRESSURE = 256;
const BEND = 257;
const STREAMS = 258;

/**
 * The values that flow on each channel: 128 controllers, 128 key pressures, channel pressure and bend. For each
 * it knows what was sent last and which row waits to be judged by what follows it.
 */
export class ValueStreams {
  readonly #columns: TimelineColumns;
  /** Value in steps of 128 (bends in fractions of them), -1 while nothing was sent. */
  readonly #sent = new Float64Array(CHANNELS * STREAMS).fill(NONE);
  readonly #pending = new Int32Array(CHANNELS * STREAMS).fill(NONE);
  /** Channels × controllers whose fine half is used somewhere in the song. */
  readonly #hasFine = new Uint8Array(CHANNELS * 128);
  readonly #program = new Int16Array(CHANNELS).fill(NONE);
  /** Streams of each channel that may have a row waiting. */
  readonly #waiting: readonly number[][] = Array.from({ length: CHANNELS }, () => []);

  constructor(columns: TimelineColumns) {
    this.#columns = columns;
    for (let row = 0; row < columns.count; row += 1) {
      const number = columns.data1[row]!;
      if ((columns.status[row]! & 0xf0) !== 0xb0 || number < 32 || number >= 64) continue;
      this.#hasFine[(columns.status[row]! & 0x0f) * 128 + number - 32] = 1;
    }
  }

  /**
   * Number of the stream a row belongs to, -1 for rows that are never touched. Notes what a mode message or a
   * bank number makes unknown.
   */
  streamOf(row: number): number {
    const status = this.#columns.status[row]!;
    const data1 = this.#columns.data1[row]!;
    const base = (status & 0x0f) * STREAMS;
    switch (status & 0xf0) {
      case 0xa0:
        return base + KEY_PRESSURE + data1;
      case 0xb0:
        if (data1 >= Cc.allSoundOff) this.forget(status & 0x0f);
        if (data1 === Cc.bankSelect || data1 === Cc.bankSelectFine) this.#program[status & 0x0f] = NONE;
        if (!THINNED_CONTROLLERS.has(data1)) return NONE;
        return this.#hasFine[(status & 0x0f) * 128 + data1] === 1 ? NONE : base + data1;
      case 0xd0:
        return base + PRESSURE;
      case 0xe0:
        return base + BEND;
      default:
        return NONE;
    }
  }

  /** Notes a program change; true where program and bank are already in force. */
  isRepeatedProgram(row: number): boolean {
    const status = this.#columns.status[row]!;
    if ((status & 0xf0) !== 0xc0) return false;
    const program = this.#columns.data1[row]!;
    const repeated = this.#program[status & 0x0f] === program;
    this.#program[status & 0x0f] = program;
    return repeated;
  }

  pendingRow(stream: number): number {
    return this.#pending[stream]!;
  }

  /** How far a row's value is from what was sent last, in steps of 128; infinite before the first. */
  distance(stream: number, row: number): number {
    const sent = this.#sent[stream]!;
    return sent === NONE ? Number.POSITIVE_INFINITY : Math.abs(this.#valueOf(row) - sent);
  }

  /** The row goes out. */
  send(stream: number, row: number): void {
    this.#sent[stream] = this.#valueOf(row);
  }

  wait(stream: number, row: number): void {
    if (this.#pending[stream] === NONE) this.#waiting[Math.floor(stream / STREAMS)]!.push(stream);
    this.#pending[stream] = row;
  }

  clear(stream: number): void {
    this.#pending[stream] = NONE;
  }

  /** A note begins: what waits on its channel goes out, so that the note finds the exact values. */
  settle(channel: number): void {
    const waiting = this.#waiting[channel]!;
    for (const stream of waiting) {
      const row = this.#pending[stream]!;
      if (row === NONE) continue;
      this.#sent[stream] = this.#valueOf(row);
      this.#pending[stream] = NONE;
    }
    waiting.length = 0;
  }

  /** A mode message or reset: nothing is known of the channel; what waits goes out. */
  forget(channel: number): void {
    this.#sent.fill(NONE, channel * STREAMS, (channel + 1) * STREAMS);
    this.#pending.fill(NONE, channel * STREAMS, (channel + 1) * STREAMS);
  }

  forgetAll(): void {
    this.#sent.fill(NONE);
    this.#pending.fill(NONE);
    this.#program.fill(NONE);
  }

  #valueOf(row: number): number {
    const { status, data1, data2 } = this.#columns;
    const kind = status[row]! & 0xf0;
    if (kind === 0xd0) return data1[row]!;
    return kind === 0xe0 ? data2[row]! + data1[row]! / 128 : data2[row]!;
  }
}
