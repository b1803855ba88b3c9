import { ClockInput } from '../../core/follow/follow-state.ts';
import type { RunClock } from '../clock/run-clock.ts';
import { ClockRing } from './clock-ring.ts';

/** Where the messages of a followed clock come from, in the order in which they came. */
export interface ClockFeed {
  /**
   * The next message that is here by `now[0]`: its run time (µs) into `into[0]`, status | data1 << 8 | data2 << 16 into
   * `into[1]`. False where there is none.
   */
  take(into: Float64Array, now: Float64Array): boolean;
  /** Brings `wake[0]` forward to the run time of the next message, where that is known beforehand. */
  next(wake: Float64Array): void;
  /** Whether messages were left out since this was asked last. */
  takeBroke(): boolean;
  /** One of `ClockInput`. */
  readonly input: number;
}

/** Messages known beforehand, for a clock that is virtual: times in µs from the run's beginning, in order. */
export interface ClockLog {
  readonly micros: Float64Array;
  /** status | data1 << 8 | data2 << 16 */
  readonly messages: Uint32Array;
}

/** What another thread hears. */
export class RingFeed implements ClockFeed {
  readonly #ring: ClockRing;
  readonly #clock: RunClock;

  constructor(buffer: SharedArrayBuffer, clock: RunClock) {
    this.#ring = new ClockRing(buffer);
    this.#clock = clock;
  }

  get input(): number {
    const { input } = this.#ring;
    // What came before the end is still to be heard.
    return input === ClockInput.ended && !this.#ring.isEmpty ? ClockInput.there : input;
  }

  take(into: Float64Array): boolean {
    if (!this.#ring.take(into)) return false;
    into[0] = into[0]! - this.#clock.originNanos / 1000;
    return true;
  }

  /** The ring's signal wakes whoever sleeps. */
  next(): void {}

  takeBroke(): boolean {
    return this.#ring.takeBroke();
  }
}

/** What is known beforehand. */
export class LogFeed implements ClockFeed {
  readonly #log: ClockLog;
  #next = 0;

  constructor(log: ClockLog) {
    this.#log = log;
  }

  get input(): number {
    return this.#next >= this.#log.micros.length ? ClockInput.ended : ClockInput.there;
  }

  take(into: Float64Array, now: Float64Array): boolean {
    const { micros, messages } = this.#log;
    if (this.#next >= micros.length || micros[this.#next]! > now[0]!) return false;
    into[0] = micros[this.#next]!;
    into[1] = messages[this.#next]!;
    this.#next += 1;
    return true;
  }

  next(wake: Float64Array): void {
    const { micros } = this.#log;
    if (this.#next < micros.length) wake[0] = Math.min(wake[0]!, micros[this.#next]!);
  }

  takeBroke(): boolean {
    return false;
  }
}
