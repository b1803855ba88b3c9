import { DATA_BYTES } from '../../core/midi/status.ts';
import { StreamParser, type StreamSink } from '../../core/midi/stream-parser.ts';
import { microsPerByte, type WireTraits } from '../../core/wire/wire-traits.ts';

/** Takes a message, or a piece of a SysEx, with the moment (µs) at which the last of it was there. `bytes` is reused. */
export type TakeMessage = (bytes: Uint8Array, length: number, micros: number) => void;

/**
 * Cuts an input's bytes into whole messages, each with the moment of its own last byte. It lives as long as the input: a
 * keyboard may send its status byte once and then, for hours and whatever songs, only data (running status, MIDI 1.0,
 * p. 5).
 */
export class MessageStamper implements StreamSink {
  readonly #parser = new StreamParser(this);
  readonly #message = new Uint8Array(3);
  readonly #take: TakeMessage;
  /** What a byte takes on the wire, where bytes come at its pace; else 0. */
  readonly #byteMicros: number;
  #arrived = 0;
  #chunkEnd = 0;

  constructor({ wire, paced }: { readonly wire: WireTraits; readonly paced: boolean }, take: TakeMessage) {
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
    this.#message[0] = status;
    this.#message[1] = data1;
    this.#message[2] = data2;
    this.#take(this.#message, 1 + DATA_BYTES[status]!, this.#micros);
  }

  sysEx(bytes: Uint8Array, length: number): void {
    this.#take(bytes, length, this.#micros);
  }

  fault(): void {
    // Not a message: nothing to pass on.
  }

  get #micros(): number {
    const bytesAfter = Math.max(0, this.#chunkEnd - this.#parser.offset - 1);
    return this.#arrived - bytesAfter * this.#byteMicros;
  }
}
