import type { FaultKind } from '../midi/stream-fault.ts';
import { bytes, numbers } from './growing-column.ts';
import type { HeardSink } from './heard-stream.ts';

/** Status bytes that no message here has: what stands for a SysEx, one that was cut, and a fault (its kind in `data1`). */
const SYSEX = 0xf0;
const SYSEX_CUT = 0xf7;
const FAULT = 0xf4;

/** Bytes that a message takes. */
const MESSAGE_BYTES = 11;

/** Messages as they came, eleven bytes each and what stands in SysEx, to be read again from any place. */
export class HeardEvents implements HeardSink {
  readonly #micros = numbers();
  readonly #status = bytes();
  readonly #data1 = bytes();
  readonly #data2 = bytes();
  /** Of each SysEx its place among all, where its bytes begin, and all their bytes. */
  readonly #sysEx = { place: numbers(), begin: numbers(), bytes: bytes() };
  /** The first SysEx that is not forgotten. */
  #firstSysEx = 0;

  get count(): number {
    return this.#micros.length;
  }

  /** So many messages would take as much room as there is behind a place. @param place not forgotten, or 0 for all there ever was */
  roomFrom(place: number): number {
    const bytesBefore = place === 0 ? 0 : this.#beginOf(this.#sysExFrom(place));
    return this.count - place + (this.#sysEx.bytes.length - bytesBefore) / MESSAGE_BYTES;
  }

  /** @param place of an event that is not forgotten */
  microsAt(place: number): number {
    return this.#micros.get(place);
  }

  message(status: number, data1: number, data2: number, micros: number): void {
    this.#micros.push(micros);
    this.#status.push(status);
    this.#data1.push(data1);
    this.#data2.push(data2);
  }

  sysEx(content: Uint8Array, isCut: boolean, micros: number): void {
    this.#sysEx.place.push(this.count);
    this.#sysEx.begin.push(this.#sysEx.bytes.length);
    for (const byte of content) this.#sysEx.bytes.push(byte);
    this.message(isCut ? SYSEX_CUT : SYSEX, 0, 0, micros);
  }

  fault(kind: FaultKind, micros: number): void {
    this.message(FAULT, kind, 0, micros);
  }

  /** Tells those from one place to before another again. */
  replay(from: number, to: number, sink: HeardSink): void {
    let sysEx = this.#sysExFrom(from);
    for (let place = from; place < to; place += 1) {
      const status = this.#status.get(place);
      const micros = this.#micros.get(place);
      if (status === FAULT) sink.fault(this.#data1.get(place) as FaultKind, micros);
      else if (status === SYSEX || status === SYSEX_CUT) {
        sink.sysEx(this.#bytesOf(sysEx), status === SYSEX_CUT, micros);
        sysEx += 1;
      } else sink.message(status, this.#data1.get(place), this.#data2.get(place), micros);
    }
  }

  /** Those before a place are not wanted again. */
  forget(place: number): void {
    for (const column of [this.#micros, this.#status, this.#data1, this.#data2]) column.forget(place);
    const sysEx = this.#sysExFrom(place);
    this.#sysEx.bytes.forget(this.#beginOf(sysEx));
    this.#sysEx.place.forget(sysEx);
    this.#sysEx.begin.forget(sysEx);
    this.#firstSysEx = sysEx;
  }

  /** Number of the first SysEx at a place or behind it. */
  #sysExFrom(place: number): number {
    let low = this.#firstSysEx;
    let high = this.#sysEx.place.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.#sysEx.place.get(middle) < place) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  #beginOf(sysEx: number): number {
    return sysEx < this.#sysEx.begin.length ? this.#sysEx.begin.get(sysEx) : this.#sysEx.bytes.length;
  }

  #bytesOf(sysEx: number): Uint8Array {
    const begin = this.#beginOf(sysEx);
    return Uint8Array.from({ length: this.#beginOf(sysEx + 1) - begin }, (_, at) =>
      this.#sysEx.bytes.get(begin + at),
    );
  }
}
