import { PATHS_6502 as COST, READY_TO_OUT_6502, UNIT_CYCLES_6502 } from './6502-paths.ts';
import type { PlayerClock, PlayerMake, PlayerPaths } from './player-clock.ts';
import { BYTE_MICROS } from './player-machine.ts';

const FAR = 256;
const ROUND = 128;

/** The account of the 6502 player (6502-source.ts), register by register. */
export class Clock6502 implements PlayerClock {
  readonly #make: PlayerMake;
  /** Time at which X was 0. */
  #base = 0;
  #x = 0;
  #grid: number;
  #go: number;
  #readyAt = 0;

  constructor(make: PlayerMake) {
    this.#make = make;
    this.#go = make.slotUnits;
    this.#grid = make.slotUnits;
  }

  #spend(units: number): void {
    this.#x += units;
    // The register is a byte: what goes round is time that the grid does not know of.
    if (this.#x <= 0xff) return;
    this.#x -= 0x100;
    this.#base += 0x100;
  }

  take(path: keyof PlayerPaths): void {
    this.#spend(COST[path]);
  }

  page(): void {
    this.#spend(COST.page);
  }

  tick(stepUnits: number): void {
    this.#grid += stepUnits;
    if (this.#grid >= FAR) {
      this.#grid -= this.#x;
      this.#base += this.#x;
      for (; this.#grid >= FAR; this.#grid -= ROUND) this.#base += ROUND;
      this.#go = 0;
      this.#x = COST.tickRest;
    }
    if (this.#grid >= 0) this.#spend(COST.tickNear);
    if (this.#grid >= this.#go) {
      this.#spend(COST.tickHigher);
      this.#go = this.#grid;
    }
    this.#spend(COST.tick + (this.#make.canStop ? COST.stop : 0));
  }

  send(): number {
    const { ready, unitsPerSecond, slotUnits } = this.#make;
    if (this.#x < this.#go) this.#x = this.#go;
    if (ready !== 'none') {
      const askedBefore = READY_TO_OUT_6502 / UNIT_CYCLES_6502;
      while (this.#base + this.#x - askedBefore < this.#readyAt) this.#spend(COST.poll);
    }
    this.#grid -= this.#x;
    this.#base += this.#x;
    this.#x = COST.plain + (ready === 'none' ? 0 : COST.ready);
    this.#go = slotUnits;
    this.#readyAt = this.#base + (BYTE_MICROS * unitsPerSecond) / 1_000_000;
    return this.#base;
  }
}
