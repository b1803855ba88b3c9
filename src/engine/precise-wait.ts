import type { CommandRing } from './command-ring.ts';
import { SIGNAL } from './command-ring.ts';
import type { RunClock } from './run-clock.ts';

/**
 * Waits for an exact moment or for a command, whichever is first. It sleeps with `Atomics.wait` until shortly
 * before, and spins the rest, because a sleeping thread is woken some tens of microseconds late.
 *
 * No garbage: a fractional timeout handed to `Atomics.wait` would be boxed each time (16–33 bytes, measured on
 * Node 20), so short sleeps take their timeout from a table of numbers boxed once and longer ones sleep whole
 * milliseconds, which are not boxed.
 */
export class PreciseWait {
  readonly #now = new Float64Array(1);

  constructor(
    private readonly ring: CommandRing,
    private readonly clock: RunClock,
    /** How long to spin at most. Longer than 150 µs costs power and gains nothing measurable. */
    private readonly spinMicros = SPIN_MICROS,
  ) {}

  /**
   * Returns at run time `until[0]`, or as soon as the ring's signal differs from `seen`.
   * @param until register; `Infinity` waits for a command only (but returns within `LONGEST_SLEEP_MS`)
   * @returns true when the moment came, false when it was woken or the sleep was the longest allowed
   */
  wait(until: Float64Array, seen: number): boolean {
    for (;;) {
      this.clock.read(this.#now);
      const left = (until[0] as number) - (this.#now[0] as number);
      if (left <= 0) return true;
      if (this.ring.signal() !== seen) return false;
      const sleep = left - this.spinMicros;
      if (sleep < STEP_MICROS) return this.#spin(until, seen);
      if (sleep < TABLE_MICROS) {
        Atomics.wait(this.ring.head, SIGNAL, seen, TIMEOUTS[Math.floor(sleep / STEP_MICROS)] as number);
      } else if (sleep >= LONGEST_SLEEP_MS * 1000) {
        Atomics.wait(this.ring.head, SIGNAL, seen, LONGEST_SLEEP_MS);
        return false;
      } else {
        Atomics.wait(this.ring.head, SIGNAL, seen, (sleep / 1000) | 0);
      }
    }
  }

  #spin(until: Float64Array, seen: number): boolean {
    for (;;) {
      this.clock.read(this.#now);
      if ((this.#now[0] as number) >= (until[0] as number)) return true;
      if (this.ring.signal() !== seen) return false;
    }
  }
}

export const SPIN_MICROS = 150;
/** A sleeper without an appointment looks up this often: Active Sensing and the hung-thread watch need it. */
export const LONGEST_SLEEP_MS = 250;
const STEP_MICROS = 25;
const TABLE_MICROS = 8000;

/** Timeouts in milliseconds by steps of STEP_MICROS. The object at its end keeps the elements tagged, so that
 *  each number stays in the box it was given here. */
const TIMEOUTS: readonly (number | object)[] = Array.from(
  { length: TABLE_MICROS / STEP_MICROS + 1 },
  (_, step): number | object =>
    step * STEP_MICROS === TABLE_MICROS ? {} : (step * STEP_MICROS) / 1000 + 1e-6,
);
