import { hrtime } from 'node:process';
import type { Clock } from './clock.ts';

/**
 * The run's clock: microseconds since an origin all threads share. `process.hrtime` counts one monotonic clock
 * for the whole process, while `performance.now` begins anew in every worker.
 *
 * Reading goes into a register and makes no garbage: the bigint is stored straight into a typed array, so the
 * optimizer never builds it (measured on Node 20: 0.01 bytes a call; `performance.now()` boxes 16).
 */
export class RunClock implements Clock {
  readonly #nanos = new BigUint64Array(1);
  /** The same eight bytes as two halves. */
  readonly #halves = new Uint32Array(this.#nanos.buffer);
  readonly #low = LITTLE_ENDIAN ? 0 : 1;
  readonly #register = new Float64Array(1);

  originNanos: number;

  /** @param originNanos `process.hrtime.bigint()` at run time 0, as a number (exact below 104 days of uptime) */
  constructor(originNanos: number = Number(hrtime.bigint())) {
    this.originNanos = originNanos;
  }

  /** Run time 0 is now. */
  restart(): void {
    this.originNanos = Number(hrtime.bigint());
  }

  /** Writes the run time to `into[0]`. */
  read(into: Float64Array): void {
    this.#nanos[0] = readNanos();
    const high = this.#halves[1 - this.#low]!;
    const low = this.#halves[this.#low]!;
    into[0] = (high * 4_294_967_296 + low - this.originNanos) / 1000;
  }

  nowMicros(): number {
    this.read(this.#register);
    return this.#register[0]!;
  }
}

const readNanos = hrtime.bigint;
const LITTLE_ENDIAN = new Uint8Array(new Uint32Array([1]).buffer)[0] === 1;
