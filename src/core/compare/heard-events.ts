import type { FaultKind } from '../midi/stream-fault.ts';
import { bytes, numbers } from './growing-column.ts';
import type { HeardSink } from './heard-stream.ts';

/** Status bytes that no message here has: what stands for a SysEx, one that was cut, and a fault (its kind in `data1`). */
const SYSEX = 0xf0;
const SYSEX_CUT = 0xf7;
const FAULT = 0xf4;

/** Messages as they came, eleven bytes each, to be read again from any place. */
export class HeardEvents implements HeardSink {
  readonly #micros = numbers();
  readonly #status = bytes();
  readonly #data1 = bytes();
  readonly #data2 = bytes();

  get count(): number {
    return this.#micros.length;
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

  sysEx(isCut: boolean, micros: number): void {
    this.message(isCut ? SYSEX_CUT : SYSEX, 0, 0, micros);
  }

  fault(kind: FaultKind, micros: number): void {
    this.message(FAULT, kind, 0, micros);
  }

  /** Tells those from one place to before another again. */
  replay(from: number, to: number, sink: HeardSink): void {
    for (let place = from; place < to; place += 1) {
      const status = this.#status.get(place);
      const micros = this.#micros.get(place);
      if (status === FAULT) sink.fault(this.#data1.get(place) as FaultKind, micros);
      else if (status === SYSEX || status === SYSEX_CUT) sink.sysEx(status === SYSEX_CUT, micros);
      else sink.message(status, this.#data1.get(place), this.#data2.get(place), micros);
    }
  }

  /** Those before a place are not wanted again. */
  forget(place: number): void {
    for (const column of [this.#micros, this.#status, this.#data1, this.#data2]) column.forget(place);
  }
}
