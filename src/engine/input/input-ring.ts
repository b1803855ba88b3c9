import { FED_BYTES, Fed, type InputFeed } from './input-feed.ts';

/**
 * What an input brings, on its way from the thread that stamps it to the sending thread, in one SharedArrayBuffer:
 *
 *   i32 [0] written   entries put in, counted without wrapping (one writer)
 *   i32 [1] read      entries taken (one reader at a time)
 *   i32 [2] input     the last word on the input, one of `Fed`
 *   from byte 16      CAPACITY × 16 bytes: f64 when (µs of the machine's monotonic clock), u8 what (`Fed`), u8 count,
 *                     6 bytes
 *
 * Neither side waits for the other. It outlives a song: what comes between two songs waits here for the second, and
 * where that is more than there is room for, the newest is kept and the reader told `cut` before it.
 */
export class InputRing implements InputFeed {
  readonly buffer: SharedArrayBuffer;
  readonly bytes = new Uint8Array(FED_BYTES);
  count = 0;
  readonly arrivedMicros = new Float64Array(1);
  /** Microseconds of the monotonic clock at run time 0, for the reader. */
  readonly #origin = new Float64Array(1);
  readonly #head: Int32Array;
  readonly #times: Float64Array;
  readonly #cells: Uint8Array;

  constructor(buffer?: SharedArrayBuffer) {
    this.buffer = buffer ?? new SharedArrayBuffer(HEAD_BYTES + CAPACITY * ENTRY);
    this.#head = new Int32Array(this.buffer, 0, 3);
    this.#times = new Float64Array(this.buffer, HEAD_BYTES);
    this.#cells = new Uint8Array(this.buffer, HEAD_BYTES);
    if (buffer === undefined) Atomics.store(this.#head, INPUT, Fed.nothing);
  }

  get input(): number {
    return Atomics.load(this.#head, INPUT);
  }

  /**
   * Writer: a message, or a piece of a SysEx; longer pieces are cut in several.
   * @param monotonicMicros when the last of it was there
   */
  putBytes(bytes: Uint8Array, length: number, monotonicMicros: number): void {
    for (let at = 0; at < length; at += FED_BYTES) {
      this.#put(Fed.bytes, monotonicMicros, bytes, at, Math.min(at + FED_BYTES, length));
    }
  }

  /** Writer: what became of the input, `Fed.lost`, `back` or `ended`. */
  put(what: number, monotonicMicros: number): void {
    Atomics.store(this.#head, INPUT, what);
    this.#put(what, monotonicMicros, this.bytes, 0, 0);
  }

  take(_now: Float64Array): number {
    const read = Atomics.load(this.#head, READ);
    const written = Atomics.load(this.#head, WRITTEN);
    if (read === written) return Fed.nothing;
    const cell = (read & MASK) * ENTRY;
    this.arrivedMicros[0] = this.#times[cell >> 3]! - this.#origin[0]!;
    const what = this.#cells[cell + 8]!;
    this.count = this.#cells[cell + 9]!;
    for (let i = 0; i < this.count; i += 1) this.bytes[i] = this.#cells[cell + 10 + i]!;
    // The writer goes round and does not wait: was the place its own, or might it have been, meanwhile?
    if (((Atomics.load(this.#head, WRITTEN) - read) | 0) >= CAPACITY) {
      Atomics.store(this.#head, READ, (Atomics.load(this.#head, WRITTEN) - KEPT) | 0);
      this.count = 0;
      return Fed.cut;
    }
    Atomics.store(this.#head, READ, (read + 1) | 0);
    return what;
  }

  begin(originMicros: number): void {
    this.#origin[0] = originMicros;
  }

  /** It comes when it comes. */
  next(): void {}

  #put(what: number, micros: number, bytes: Uint8Array, start: number, end: number): void {
    const written = Atomics.load(this.#head, WRITTEN);
    const cell = (written & MASK) * ENTRY;
    this.#times[cell >> 3] = micros;
    this.#cells[cell + 8] = what;
    this.#cells[cell + 9] = end - start;
    for (let i = start; i < end; i += 1) this.#cells[cell + 10 + i - start] = bytes[i]!;
    Atomics.store(this.#head, WRITTEN, (written + 1) | 0);
  }
}

const WRITTEN = 0;
const READ = 1;
const INPUT = 2;
const HEAD_BYTES = 16;
const ENTRY = 16;
/** A power of two. A wire full of clocks, which no machine sends, fills it in 2.6 seconds; one at 120 in three minutes. */
const CAPACITY = 8192;
const MASK = CAPACITY - 1;
/** What is left of it once the writer has gone round. */
const KEPT = CAPACITY / 2;
