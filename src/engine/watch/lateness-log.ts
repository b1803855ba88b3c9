/**
 * A histogram of how late messages were handed to the port, for the timing bench: shared, so that the bench
 * reads it while the sending thread counts.
 *
 *   u32 [0 … 4095]     one bucket for each microsecond
 *   u32 [4096 … 8191]  one for each 16 µs from 4,096 µs on; the last takes all that is later
 *   u32 [8192]         the latest of all, in microseconds
 */
export class LatenessLog {
  readonly buffer: SharedArrayBuffer;
  readonly #counts: Uint32Array;

  constructor(buffer: SharedArrayBuffer = new SharedArrayBuffer(4 * (BUCKETS + 1))) {
    this.buffer = buffer;
    this.#counts = new Uint32Array(buffer);
  }

  /** @param micros register; `micros[0]` is the lateness, below 0 counts as 0 */
  add(micros: Float64Array): void {
    const late = Math.max(0, Math.min(micros[0]!, 4e9)) >>> 0;
    const bucket = late < FINE ? late : Math.min(BUCKETS - 1, FINE + ((late - FINE) >>> 4));
    this.#counts[bucket] = this.#counts[bucket]! + 1;
    if (late > this.#counts[BUCKETS]!) this.#counts[BUCKETS] = late;
  }

  clear(): void {
    this.#counts.fill(0);
  }

  /** A copy of the buckets, to be added to others. */
  counts(): Uint32Array {
    return this.#counts.slice(0, BUCKETS);
  }

  worstMicros(): number {
    return this.#counts[BUCKETS]!;
  }
}

const FINE = 4096;
const BUCKETS = 8192;

/** Lower edge of a bucket, in microseconds. */
export function bucketMicros(bucket: number): number {
  return bucket < FINE ? bucket : FINE + (bucket - FINE) * 16;
}
