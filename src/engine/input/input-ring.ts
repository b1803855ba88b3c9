import { FED_BYTES, Fed, type InputFeed } from './input-feed.ts';

/**
 * Bytes of an input on their way from the thread that stamps them to the sending thread, in one SharedArrayBuffer:
 *
 *   i32 [0] written   entries put in, counted without wrapping (one writer)
 *   i32 [1] read      entries taken (one reader)
 *   i32 [2] overflow  counts the entries for which there was no room
 *   from byte 16      CAPACITY × 16 bytes: f64 when (µs of the machine's monotonic clock), u8 what (`Fed`), u8 count,
 *                     6 bytes
 *
 * Neither side waits for the other. Where bytes were lost the reader is told `lost`, behind all that came before.
 */
export class InputRing implements InputFeed {
  readonly buffer: SharedArrayBuffer;
  readonly bytes = new Uint8Array(FED_BYTES);
  count = 0;
  readonly arrivedMicros = new Float64Array(1);
  /** Microseconds of the monotonic clock at run time 0, for the reader. */
  readonly origin = new Float64Array(1);
  readonly #head: Int32Array;
  readonly #times: Float64Array;
  readonly #cells: Uint8Array;
  #overflowSeen = 0;

  constructor(buffer: SharedArrayBuffer = new SharedArrayBuffer(HEAD_BYTES + CAPACITY * ENTRY)) {
    this.buffer = buffer;
    this.#head = new Int32Array(buffer, 0, 3);
    this.#times = new Float64Array(buffer, HEAD_BYTES);
    this.#cells = new Uint8Array(buffer, HEAD_BYTES);
  }

  /**
   * Writer: bytes that came.
   * @param monotonicMicros when the last of them was there
   * @param byteMicros how much earlier each byte before it came; 0 where that cannot be told
   */
  putBytes(chunk: Uint8Array, monotonicMicros: number, byteMicros: number): void {
    for (let at = 0; at < chunk.length; at += FED_BYTES) {
      const end = Math.min(at + FED_BYTES, chunk.length);
      this.#put(Fed.bytes, monotonicMicros - (chunk.length - end) * byteMicros, chunk, at, end);
    }
  }

  /** Writer: what became of the input, one of `Fed`. */
  put(what: number, monotonicMicros: number): void {
    this.#put(what, monotonicMicros, this.bytes, 0, 0);
  }

  take(_now: Float64Array): number {
    const read = Atomics.load(this.#head, READ);
    if (read === Atomics.load(this.#head, WRITTEN)) return this.#lostOrNothing();
    const cell = (read & MASK) * ENTRY;
    this.arrivedMicros[0] = this.#times[cell >> 3]! - this.origin[0]!;
    const what = this.#cells[cell + 8]!;
    this.count = this.#cells[cell + 9]!;
    for (let i = 0; i < this.count; i += 1) this.bytes[i] = this.#cells[cell + 10 + i]!;
    Atomics.store(this.#head, READ, (read + 1) | 0);
    return what;
  }

  /** It comes when it comes. */
  next(): void {}

  #lostOrNothing(): number {
    const overflow = Atomics.load(this.#head, OVERFLOW);
    if (overflow === this.#overflowSeen) return Fed.nothing;
    this.#overflowSeen = overflow;
    this.count = 0;
    return Fed.lost;
  }

  #put(what: number, micros: number, bytes: Uint8Array, start: number, end: number): void {
    const written = Atomics.load(this.#head, WRITTEN);
    if (((written - Atomics.load(this.#head, READ)) | 0) >= CAPACITY) {
      Atomics.add(this.#head, OVERFLOW, 1);
      return;
    }
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
const OVERFLOW = 2;
const HEAD_BYTES = 16;
const ENTRY = 16;
/** A power of two. Even a byte an entry this is more than two seconds of a full wire. */
const CAPACITY = 8192;
const MASK = CAPACITY - 1;
