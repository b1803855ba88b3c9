import type { WireTraits } from '../core/wire/wire-traits.ts';
import { type OutputPort, WRITE_DONE, type WriteOutcome } from './output-port.ts';

/** Told of each write that a port took; `at[0]` is the run time (µs) of its first byte on the wire. */
export type Tap = (bytes: Uint8Array, start: number, length: number, at: Float64Array) => void;

/** A port with somebody listening in: what it took, and nothing else, goes to the tap as well. */
export class TappedPort implements OutputPort {
  readonly #port: OutputPort;
  readonly #tap: Tap;

  constructor(port: OutputPort, tap: Tap) {
    this.#port = port;
    this.#tap = tap;
  }

  get name(): string {
    return this.#port.name;
  }

  get wire(): WireTraits {
    return this.#port.wire;
  }

  write(bytes: Uint8Array, start: number, length: number, at: Float64Array): WriteOutcome {
    const outcome = this.#port.write(bytes, start, length, at);
    if (outcome === WRITE_DONE) this.#tap(bytes, start, length, at);
    return outcome;
  }

  flush(): boolean {
    return this.#port.flush();
  }

  revive(): boolean {
    return this.#port.revive?.() ?? false;
  }

  gone(): boolean {
    return this.#port.gone?.() ?? false;
  }

  close(): void {
    this.#port.close();
  }
}
