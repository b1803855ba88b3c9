import type { Clock } from './clock.ts';

/** A clock that stands still until it is set. */
export class VirtualClock implements Clock {
  readonly #now = new Float64Array(1);

  read(into: Float64Array): void {
    into[0] = this.#now[0]!;
  }

  /** Never goes back. */
  set(micros: number): void {
    if (micros > this.#now[0]!) this.#now[0] = micros;
  }

  nowMicros(): number {
    return this.#now[0]!;
  }
}
