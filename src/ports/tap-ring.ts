/**
 * What ports took, on its way to the thread that records it, or sends it on: one writer, one reader, nobody waits.
 *
 *   i32 [0] written  bytes put in so far, mod 2³²
 *   i32 [1] read     bytes taken out so far, mod 2³²
 *   i32 [2] lost     messages for which there was no room
 *   i32 [4] to [7]   left to whoever made the ring
 *   from byte 32     CAPACITY bytes of entries, each a multiple of 16:
 *                    f64 run time (µs) · u32 port · u32 length · the bytes, filled up
 *
 * Entries never straddle the end: a length of SKIP says that the rest up to the end is empty.
 */
export class TapRing {
  readonly buffer: SharedArrayBuffer;
  readonly #head: Int32Array;
  readonly #times: Float64Array;
  readonly #words: Uint32Array;
  readonly #bytes: Uint8Array;

  constructor(buffer: SharedArrayBuffer = new SharedArrayBuffer(HEAD_BYTES + CAPACITY)) {
    this.buffer = buffer;
    this.#head = new Int32Array(buffer, 0, 3);
    this.#times = new Float64Array(buffer, HEAD_BYTES);
    this.#words = new Uint32Array(buffer, HEAD_BYTES);
    this.#bytes = new Uint8Array(buffer, HEAD_BYTES);
  }

  /** Allocates nothing. @param at register: run time in `at[0]` */
  put(port: number, bytes: Uint8Array, start: number, length: number, at: Float64Array): void {
    const size = ENTRY + ((length + 15) & ~15);
    let written = Atomics.load(this.#head, WRITTEN);
    const place = written & MASK;
    const toEnd = CAPACITY - place;
    const needed = size <= toEnd ? size : toEnd + size;
    if (needed > CAPACITY - ((written - Atomics.load(this.#head, READ)) | 0)) {
      Atomics.add(this.#head, LOST, 1);
      return;
    }
    if (size > toEnd) {
      this.#words[(place >> 2) + 3] = SKIP;
      written += toEnd;
    }
    const from = written & MASK;
    this.#times[from >> 3] = at[0]!;
    this.#words[(from >> 2) + 2] = port;
    this.#words[(from >> 2) + 3] = length;
    for (let i = 0; i < length; i += 1) this.#bytes[from + ENTRY + i] = bytes[start + i]!;
    Atomics.store(this.#head, WRITTEN, (written + size) | 0);
  }

  /** Bytes put in so far, mod 2³². */
  get written(): number {
    return Atomics.load(this.#head, WRITTEN);
  }

  /** Whether an entry of so many bytes would be taken, wherever the ring's end is. */
  hasRoom(length: number): boolean {
    const used = (Atomics.load(this.#head, WRITTEN) - Atomics.load(this.#head, READ)) | 0;
    return CAPACITY - used >= 2 * (ENTRY + ((length + 15) & ~15));
  }

  /** For a writer that nobody waits for: holds this thread until an entry of so many bytes has room, or for so long. */
  waitForRoom(length: number, mostMs: number): void {
    const end = performance.now() + mostMs;
    const most = ENTRY + ((length + 15) & ~15) + ENTRY + MOST_SKIPPED;
    for (;;) {
      const read = Atomics.load(this.#head, READ);
      const used = (Atomics.load(this.#head, WRITTEN) - read) | 0;
      if (CAPACITY - used >= most || performance.now() > end) return;
      Atomics.wait(this.#head, READ, read, 20);
    }
  }

  /** Hands every entry to `take`, oldest first. The bytes are a view, good until `take` returns. */
  drain(take: (port: number, bytes: Uint8Array, micros: number) => void): void {
    const written = Atomics.load(this.#head, WRITTEN);
    let read = Atomics.load(this.#head, READ);
    while (read !== written) {
      const from = read & MASK;
      const length = this.#words[(from >> 2) + 3]!;
      if (length === SKIP) {
        read = (read + CAPACITY - from) | 0;
        continue;
      }
      const bytes = this.#bytes.subarray(from + ENTRY, from + ENTRY + length);
      take(this.#words[(from >> 2) + 2]!, bytes, this.#times[from >> 3]!);
      read = (read + ENTRY + ((length + 15) & ~15)) | 0;
    }
    Atomics.store(this.#head, READ, read);
    Atomics.notify(this.#head, READ);
  }

  get lost(): number {
    return Atomics.load(this.#head, LOST);
  }
}

const WRITTEN = 0;
const READ = 1;
const LOST = 2;
const HEAD_BYTES = 32;
const ENTRY = 16;
/** More than the largest piece that inputs hand over: what is left empty at the end of the ring. */
const MOST_SKIPPED = 1 << 17;
/** A power of two. A full MIDI wire of three-byte messages fills 33 kB a second: half a minute. */
const CAPACITY = 1 << 20;
const MASK = CAPACITY - 1;
const SKIP = 0xffff_ffff;
