import type { InputClock } from '../ports/input-port.ts';

/** As often as this thread is asked whether it is there. */
const TICK_MS = 10;
/** Later than this it was not: as much as a note may be late by default (`--within`) is then always seen. */
const LATE_MS = 10;

/**
 * Sees when this thread stands still (the machine is overloaded, the process was stopped): its timer is late then, and so is
 * whatever time it stamps.
 */
export class StandstillWatch {
  readonly #timer: NodeJS.Timeout;

  /** @param onStandstill is told from when to when, in run time: at some moment in it the thread stood still, and up to its end */
  constructor(clock: InputClock, onStandstill: (fromMicros: number, toMicros: number) => void) {
    let last = clock.nowMicros();
    this.#timer = setInterval(() => {
      const now = clock.nowMicros();
      if (now - last > (TICK_MS + LATE_MS) * 1000) onStandstill(last, now);
      last = now;
    }, TICK_MS);
    this.#timer.unref();
  }

  close(): void {
    clearInterval(this.#timer);
  }
}
