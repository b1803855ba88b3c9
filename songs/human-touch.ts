import { TICKS_PER_QUARTER } from './notation.ts';

/** Even randomness from a seed: the "minimal standard" generator (Park and Miller, 1988; multiplier 48,271). */
export class Seeded {
  #state: number;

  constructor(seed: number) {
    this.#state = seed;
  }

  /** From −1 to 1. */
  next(): number {
    this.#state = (this.#state * 48_271) % 0x7fff_ffff;
    return (2 * this.#state) / 0x7fff_ffff - 1;
  }
}

/** The first beat leads, the third supports it, what lies between the beats is lighter. */
export function metricWeight(tickInBar: number): number {
  if (tickInBar === 0) return 4;
  if (tickInBar % (2 * TICKS_PER_QUARTER) === 0) return 2;
  if (tickInBar % TICKS_PER_QUARTER === 0) return 0;
  return tickInBar % (TICKS_PER_QUARTER / 2) === 0 ? -3 : -5;
}

export function clampVelocity(velocity: number): number {
  return Math.max(1, Math.min(127, Math.round(velocity)));
}
