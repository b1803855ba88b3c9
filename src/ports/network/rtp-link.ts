import { TapRing } from '../tap-ring.ts';

/**
 * The way from the thread that sends to the one that has the socket: a sleeping sender has no event loop, which a socket
 * of Node's needs. A `TapRing` of messages with the moments they are meant for, and in its free words:
 *
 *   i32 [4] settled  `written` of the ring as it was when all of it was sent, and told again since
 *   i32 [5] present  1 while the far end can be sent to
 *
 * Moments are µs of `process.hrtime`, which all threads share.
 */
export class RtpLink {
  readonly buffer: SharedArrayBuffer;
  readonly ring: TapRing;
  readonly #words: Int32Array;

  constructor(buffer?: SharedArrayBuffer) {
    this.ring = new TapRing(buffer);
    this.buffer = this.ring.buffer;
    this.#words = new Int32Array(this.buffer);
  }

  get isPresent(): boolean {
    return Atomics.load(this.#words, PRESENT) === 1;
  }

  set isPresent(yes: boolean) {
    Atomics.store(this.#words, PRESENT, yes ? 1 : 0);
  }

  /** Writer: whether nothing is on its way any more. */
  get isSettled(): boolean {
    return Atomics.load(this.#words, SETTLED) === this.ring.written;
  }

  /** Reader: everything up to here was sent. */
  settle(written: number): void {
    Atomics.store(this.#words, SETTLED, written);
  }

  /** Writer: wakes the reader. */
  wake(): void {
    Atomics.notify(this.#words, WRITTEN);
  }

  /** Reader: once something more than `seen` was written. */
  changed(seen: number): Promise<unknown> {
    const waiting = waitAsync(this.#words, WRITTEN, seen);
    return waiting.async ? waiting.value : Promise.resolve();
  }
}

/** In Node since 16; the library's types have it from ES2024 on. */
const { waitAsync } = Atomics as unknown as {
  waitAsync(
    cells: Int32Array,
    at: number,
    seen: number,
  ): { async: false } | { async: true; value: Promise<unknown> };
};

const WRITTEN = 0;
const SETTLED = 4;
const PRESENT = 5;
