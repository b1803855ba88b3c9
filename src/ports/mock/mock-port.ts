import { MIDI_WIRE, microsPerByte, type WireTraits } from '../../core/wire/wire-traits.ts';
import { type OutputPort, WRITE_DONE, WRITE_FULL, type WriteOutcome } from '../output-port.ts';

export interface MockOptions {
  readonly wire?: WireTraits;
  /** Keeps every byte, for tests; otherwise only the last KEPT_BYTES are kept, so a mock can play for weeks. */
  readonly record?: boolean;
  /** Bytes the pretended driver takes ahead of the wire before it says `full`; without end when left out. */
  readonly capacityBytes?: number;
}

/** Bytes with the run time (µs) at which each begins on the wire. */
export interface WireRecord {
  readonly bytes: Uint8Array;
  readonly micros: Float64Array;
}

/**
 * A MIDI wire that leads nowhere: bytes leave one after another at the wire's own pace, never before they were
 * handed over. It is the embedded default, and what tests look at.
 */
export class MockPort implements OutputPort {
  readonly name = 'mock';
  readonly wire: WireTraits;
  /** Bytes taken since the start, kept or not. */
  bytesTaken = 0;

  readonly #microsPerByte: number;
  readonly #record: boolean;
  readonly #capacityBytes: number;
  #bytes = new Uint8Array(KEPT_BYTES);
  #micros = new Float64Array(KEPT_BYTES);
  readonly #free = new Float64Array(1);

  constructor(options: MockOptions = {}) {
    this.wire = options.wire ?? MIDI_WIRE;
    this.#record = options.record ?? false;
    this.#capacityBytes = options.capacityBytes ?? Number.POSITIVE_INFINITY;
    this.#microsPerByte = microsPerByte(this.wire);
  }

  write(bytes: Uint8Array, start: number, length: number, at: Float64Array): WriteOutcome {
    const free = this.#free;
    const backlog = Math.max(0, free[0]! - at[0]!) / this.#microsPerByte;
    if (backlog + length > this.#capacityBytes && backlog > 0) return WRITE_FULL;
    if (free[0]! < at[0]!) free[0] = at[0]!;
    if (this.#record && this.bytesTaken + length > this.#bytes.length) this.#grow(this.bytesTaken + length);
    for (let i = 0; i < length; i += 1) {
      const row = this.bytesTaken % this.#bytes.length;
      this.#bytes[row] = bytes[start + i]!;
      this.#micros[row] = free[0]!;
      free[0] = free[0]! + this.#microsPerByte;
      this.bytesTaken += 1;
    }
    free[0] = free[0]! + this.wire.gapMicros;
    return WRITE_DONE;
  }

  /** What is kept, oldest first: everything when recording. */
  recorded(): WireRecord {
    const size = this.#bytes.length;
    if (this.bytesTaken <= size) {
      return { bytes: this.#bytes.slice(0, this.bytesTaken), micros: this.#micros.slice(0, this.bytesTaken) };
    }
    const first = this.bytesTaken % size;
    const bytes = new Uint8Array(size);
    const micros = new Float64Array(size);
    bytes.set(this.#bytes.subarray(first));
    bytes.set(this.#bytes.subarray(0, first), size - first);
    micros.set(this.#micros.subarray(first));
    micros.set(this.#micros.subarray(0, first), size - first);
    return { bytes, micros };
  }

  flush(): boolean {
    return true;
  }

  close(): void {}

  #grow(atLeast: number): void {
    const size = Math.max(atLeast, this.#bytes.length * 2);
    const bytes = new Uint8Array(size);
    bytes.set(this.#bytes);
    const micros = new Float64Array(size);
    micros.set(this.#micros);
    this.#bytes = bytes;
    this.#micros = micros;
  }
}

const KEPT_BYTES = 4096;
