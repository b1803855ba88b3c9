import type { CommandRing } from '../run/command-ring.ts';
import type { Clock } from './clock.ts';
import { SIGNAL } from './wake.ts';

/**
 * Waits for an exact moment or for a command, whichever is first. It sleeps with `Atomics.wait` until shortly
 * before, because a sleeping thread is woken some tens of microseconds late; rehearses after a longer sleep,
 * because by then the caches are cold; and spins the rest.
 *
 * No garbage: a fractional timeout handed to `Atomics.wait` would be boxed each time (16–33 bytes, measured on
 * Node 20), so short sleeps take their timeout from a table of numbers boxed once and longer ones sleep whole
 * milliseconds, which are not boxed.
 */
export class PreciseWait {
  readonly #now = new Float64Array(1);
  /** Register: how long a rehearsal takes. */
  readonly #takes = Float64Array.of(SPIN_MICROS);
  /** Waits in a row that were for a moment already past. */
  #restless = 0;

  readonly #ring: CommandRing;
  readonly #clock: Clock;
  readonly #rehearsal: { next(): void } | undefined;

  /** @param rehearsal what to do shortly before the moment after a longer sleep */
  constructor(ring: CommandRing, clock: Clock, rehearsal?: { next(): void }) {
    this.#ring = ring;
    this.#clock = clock;
    this.#rehearsal = rehearsal;
  }

  /**
   * Returns at run time `until[0]`, or as soon as the ring's signal differs from `seen`.
   * @param until register; `Infinity` waits for a command only (but returns within `LONGEST_SLEEP_MS`)
   * @returns true when the moment came, false when it was woken or the sleep was the longest allowed
   */
  wait(until: Float64Array, seen: number): boolean {
    this.#clock.read(this.#now);
    let cold = this.#rehearsal !== undefined && until[0]! - this.#now[0]! >= COLD_MICROS;
    for (;;) {
      const left = until[0]! - this.#now[0]!;
      if (left <= 0) {
        // Late now and then is life; without end it is a bug, and at this thread's priority not a small one.
        this.#restless += 1;
        if (this.#restless > RESTLESS_LIMIT) throw new Error('the sending loop never comes to rest');
        return true;
      }
      this.#restless = 0;
      if (this.#ring.signal() !== seen) return false;
      const sleep = left - SPIN_MICROS - (cold ? this.#takes[0]! : 0);
      if (sleep < STEP_MICROS) {
        if (!cold) return this.#spin(until, seen);
        cold = false;
        this.#rehearse(until); // may find that the moment has come, and set `until` to the next
      } else if (sleep < TABLE_MICROS) {
        Atomics.wait(this.#ring.sleepsOn, SIGNAL, seen, TIMEOUTS[(sleep / STEP_MICROS) | 0]!);
      } else if (sleep >= LONGEST_SLEEP_MS * 1000) {
        Atomics.wait(this.#ring.sleepsOn, SIGNAL, seen, LONGEST_SLEEP_MS);
        return false;
      } else {
        Atomics.wait(this.#ring.sleepsOn, SIGNAL, seen, (sleep / 1000) | 0);
      }
      this.#clock.read(this.#now);
    }
  }

  /** Only when there is time for it: late already, there is nothing to gain. */
  #rehearse(until: Float64Array): void {
    const begun = this.#now[0]!;
    if (until[0]! - begun < this.#takes[0]!) return;
    this.#rehearsal!.next();
    this.#clock.read(this.#now);
    // Next time be awake as much earlier as it takes here, on the slow side, but never absurdly so.
    const took = this.#now[0]! - begun;
    const kept = Math.max(took, this.#takes[0]! * 0.95);
    this.#takes[0] = Math.min(kept, LONGEST_REHEARSAL_MICROS);
  }

  #spin(until: Float64Array, seen: number): boolean {
    for (;;) {
      this.#clock.read(this.#now);
      if (this.#now[0]! >= until[0]!) return true;
      if (this.#ring.signal() !== seen) return false;
    }
  }
}

/** How long to spin: longer costs power and gains nothing measurable. */
export const SPIN_MICROS = 150;
/** A sleeper without an appointment looks up this often: Active Sensing and the hung-thread watch need it. */
export const LONGEST_SLEEP_MS = 250;
const RESTLESS_LIMIT = 100_000;
/** After this long asleep the caches belong to somebody else. */
const COLD_MICROS = 2000;
const LONGEST_REHEARSAL_MICROS = 1000;
const STEP_MICROS = 25;
const TABLE_MICROS = 8000;

/** Timeouts in milliseconds by steps of STEP_MICROS. The object at its end keeps the elements tagged, so that
 *  each number stays in the box it was given here. */
const TIMEOUTS = Array.from({ length: TABLE_MICROS / STEP_MICROS + 1 }, (_, step): number | object =>
  step * STEP_MICROS === TABLE_MICROS ? {} : (step * STEP_MICROS) / 1000 + 1e-6,
) as readonly number[];
