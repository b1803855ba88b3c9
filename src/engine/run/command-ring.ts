import { Wake } from '../clock/wake.ts';

/**
 * Commands on their way from the main thread to the sending thread, in one SharedArrayBuffer:
 *
 *   i32 [0] signal    counts pushes; the sender sleeps on it and wakes at once (unless it sleeps on another's)
 *   i32 [1] written   commands pushed, counted without wrapping (one writer)
 *   i32 [2] read      commands taken (one reader)
 *   f64 from byte 16  CAPACITY × (op, a, b)
 *
 * One side writes, the other reads; neither ever waits for the other here.
 */
export class CommandRing {
  readonly buffer: SharedArrayBuffer;
  /** What `PreciseWait` sleeps on, at `SIGNAL`. */
  readonly sleepsOn: Int32Array;
  readonly #wake: Wake;
  readonly #head: Int32Array;
  readonly #cells: Float64Array;

  /** @param signal of a `Wake`, where commands are not all that wakes the sender */
  constructor(
    buffer: SharedArrayBuffer = new SharedArrayBuffer(HEAD_BYTES + CAPACITY * CELL * 8),
    signal: SharedArrayBuffer = buffer,
  ) {
    this.buffer = buffer;
    this.#head = new Int32Array(buffer, 0, HEAD_BYTES / 4);
    this.#wake = new Wake(signal);
    this.sleepsOn = this.#wake.cells;
    this.#cells = new Float64Array(buffer, HEAD_BYTES, CAPACITY * CELL);
  }

  /** False when the ring is full: nothing was taken, ask again later. */
  push(op: number, a: number, b: number): boolean {
    const written = Atomics.load(this.#head, WRITTEN);
    if (written - Atomics.load(this.#head, READ) >= CAPACITY) return false;
    const at = (written % CAPACITY) * CELL;
    this.#cells[at] = op;
    this.#cells[at + 1] = a;
    this.#cells[at + 2] = b;
    Atomics.store(this.#head, WRITTEN, written + 1);
    this.wake();
    return true;
  }

  /** Takes the next command into `into[0..2]` = op, a, b. False when there is none. */
  take(into: Float64Array): boolean {
    const read = Atomics.load(this.#head, READ);
    if (read === Atomics.load(this.#head, WRITTEN)) return false;
    const at = (read % CAPACITY) * CELL;
    for (let i = 0; i < CELL; i += 1) into[i] = this.#cells[at + i]!;
    Atomics.store(this.#head, READ, read + 1);
    return true;
  }

  /** Wakes the sleeper without a command. */
  wake(): void {
    this.#wake.wake();
  }

  /** The signal's count: taken before draining, so that a push in between is never slept over. */
  signal(): number {
    return this.#wake.signal();
  }
}

const WRITTEN = 1;
const READ = 2;
const HEAD_BYTES = 16;
const CELL = 3;
/** A person cannot press this many keys before the thread, which drains at every wake, has run once. */
const CAPACITY = 1024;
