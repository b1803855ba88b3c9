import { StreamParser, type StreamSink } from '../core/midi/stream-parser.ts';
import { microsPerByte, type WireTraits } from '../core/wire/wire-traits.ts';

/** Takes each message of a clock with the moment (µs) at which its last byte was there. */
export type TakeClock = (micros: number, status: number, data1: number, data2: number) => void;

/** Picks out of an input's bytes what a clock consists of: Timing Clock, Start, Continue, Stop, Position, System Reset. */
export class ClockSink implements StreamSink {
  readonly #parser = new StreamParser(this);
  readonly #take: TakeClock;
  /** What a byte takes on the wire, where bytes come at its pace; else 0. */
  readonly #byteMicros: number;
  #arrived = 0;
  #chunkEnd = 0;

  constructor({ wire, paced }: { readonly wire: WireTraits; readonly paced: boolean }, take: TakeClock) {
    this.#take = take;
    this.#byteMicros = paced ? microsPerByte(wire) : 0;
  }

  /** @param arrivedMicros when the last of them was there */
  bytes(chunk: Uint8Array, arrivedMicros: number): void {
    this.#arrived = arrivedMicros;
    this.#chunkEnd = this.#parser.offset + chunk.length;
    this.#parser.feed(chunk);
  }

  /** The stream broke off: what comes next begins anew. */
  finish(): void {
    this.#parser.finish();
  }

  message(status: number, data1: number, data2: number): void {
    if (!CLOCK_STATUS.has(status)) return;
    const bytesAfter = Math.max(0, this.#chunkEnd - this.#parser.offset - 1);
    this.#take(this.#arrived - bytesAfter * this.#byteMicros, status, data1, data2);
  }

  sysEx(): void {}

  fault(): void {}
}

const CLOCK_STATUS: ReadonlySet<number> = new Set([0xf2, 0xf8, 0xfa, 0xfb, 0xfc, 0xff]);
