/**
 * A clock that is followed, on its way from the thread that hears it to the sending thread, in one SharedArrayBuffer:
 *
 *   i32 [0] signal    counted up at each message; the sender sleeps on it (see `CommandRing`)
 *   i32 [1] written   messages put in, counted without wrapping (one writer)
 *   i32 [2] read      messages taken out (one reader)
 *   i32 [3] input     one of `ClockInput`
 *   i32 [4] broke     1 where messages had no room and were left out, until the reader has seen it
 *   f64 from byte 32  CAPACITY × (µs of the monotonic clock that all threads share, status | data1 << 8 | data2 << 16)
 *
 * It outlives a song: what comes between two songs waits here for the second.
 */
export class ClockRing {
  readonly buffer: SharedArrayBuffer;
  readonly head: Int32Array;
  readonly #cells: Float64Array;

  constructor(buffer: SharedArrayBuffer = new SharedArrayBuffer(HEAD_BYTES + CAPACITY * CELL * 8)) {
    this.buffer = buffer;
    this.head = new Int32Array(buffer, 0, HEAD_BYTES / 4);
    this.#cells = new Float64Array(buffer, HEAD_BYTES, CAPACITY * CELL);
  }

  get input(): number {
    return Atomics.load(this.head, INPUT);
  }

  set input(input: number) {
    Atomics.store(this.head, INPUT, input);
    this.#wake();
  }

  get isEmpty(): boolean {
    return Atomics.load(this.head, READ) === Atomics.load(this.head, WRITTEN);
  }

  put(micros: number, status: number, data1: number, data2: number): void {
    const written = Atomics.load(this.head, WRITTEN);
    if (((written - Atomics.load(this.head, READ)) | 0) >= CAPACITY) {
      Atomics.store(this.head, BROKE, 1);
      return;
    }
    const at = (written & (CAPACITY - 1)) * CELL;
    this.#cells[at] = micros;
    this.#cells[at + 1] = status | (data1 << 8) | (data2 << 16);
    Atomics.store(this.head, WRITTEN, (written + 1) | 0);
    this.#wake();
  }

  /** The oldest message into `into[0..1]`. False when there is none. */
  take(into: Float64Array): boolean {
    const read = Atomics.load(this.head, READ);
    if (read === Atomics.load(this.head, WRITTEN)) return false;
    const at = (read & (CAPACITY - 1)) * CELL;
    into[0] = this.#cells[at]!;
    into[1] = this.#cells[at + 1]!;
    Atomics.store(this.head, READ, (read + 1) | 0);
    return true;
  }

  /** Whether messages were left out since this was asked last. */
  takeBroke(): boolean {
    return Atomics.load(this.head, BROKE) === 1 && Atomics.exchange(this.head, BROKE, 0) === 1;
  }

  #wake(): void {
    Atomics.add(this.head, 0, 1);
    Atomics.notify(this.head, 0);
  }
}

const WRITTEN = 1;
const READ = 2;
const INPUT = 3;
const BROKE = 4;
const HEAD_BYTES = 32;
const CELL = 2;
/** A power of two. A wire full of clocks, which no machine sends, fills it in 1.3 seconds; one at 120 in 85. */
const CAPACITY = 4096;
