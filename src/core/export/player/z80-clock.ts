import type { PlayerClock, PlayerMake, PlayerPaths } from './player-clock.ts';
import { BYTE_MICROS } from './player-machine.ts';
import { Z80_PATHS as COST, Z80_READY_TO_OUT, Z80_UNIT_CYCLES } from './z80-paths.ts';

/** The account of the Z80 player (z80-source.ts): units until the next byte is due, and what a burst owes the grid. */
export class Z80Clock implements PlayerClock {
  readonly #make: PlayerMake;
  #now = 0;
  #account: number;
  #debt = 0;
  #readyAt = 0;

  constructor(make: PlayerMake) {
    this.#make = make;
    this.#account = make.slotUnits;
  }

  #spend(units: number): void {
    this.#now += units;
    this.#account -= units;
  }

  take(path: keyof PlayerPaths): void {
    this.#spend(COST[path]);
  }

  page(): void {}

  /** The account may be brought down to 255 here, never below. */
  tick(stepUnits: number): void {
    const asking = this.#make.canStop ? COST.stop : 0;
    this.#debt -= stepUnits;
    if (this.#debt >= 0) {
      this.#spend(COST.tickOwing + asking);
      return;
    }
    this.#account -= this.#debt;
    this.#debt = 0;
    this.#spend(COST.tick + asking);
    if (this.#account - 256 < 0) return;
    this.#now += this.#account - 256 + 1;
    this.#account = 255;
  }

  send(): number {
    const { ready, slotUnits, unitsPerSecond } = this.#make;
    this.#spend(COST.plain + (ready === 'none' ? 0 : COST.ready));
    if (this.#account >= 0) this.#now += this.#account + 1;
    else {
      this.#now += COST.late;
      this.#debt += COST.late - 1 - this.#account;
    }
    this.#account = -1;
    if (ready !== 'none') {
      const askedBefore = Z80_READY_TO_OUT / Z80_UNIT_CYCLES;
      while (this.#now - askedBefore < this.#readyAt) {
        this.#now += COST.poll;
        this.#debt += COST.poll;
      }
    }
    this.#account += slotUnits;
    this.#debt += slotUnits;
    this.#readyAt = this.#now + (BYTE_MICROS * unitsPerSecond) / 1_000_000;
    return this.#now;
  }
}
