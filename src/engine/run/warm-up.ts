import type { Clock } from '../clock/clock.ts';
import { PreciseWait } from '../clock/precise-wait.ts';
import { RunClock } from '../clock/run-clock.ts';
import { HangWatch } from '../watch/hang-watch.ts';
import { CommandRing } from './command-ring.ts';
import { IdleWork } from './idle-work.ts';
import type { Rehearsal } from './rehearsal.ts';
import { GROUP } from './rehearsal-plan.ts';
import { RunCell } from './run-cell.ts';
import { SendingLoop } from './sending-loop.ts';

/**
 * Gets the sending code compiled. Until the compiler has seen enough of it a message costs 50 µs, and the last
 * note of a chord of sixteen is a millisecond late; compiled it costs half a microsecond. Here it plays to
 * nowhere, in small portions: before there is work, and after that where nothing is due.
 */
export class WarmUp {
  done = false;
  readonly #loop: SendingLoop;
  #turns = 0;
  /** Portions in a row that were as fast as compiled code is. */
  #fast = 0;
  #waited = false;

  readonly #rehearsal: Rehearsal;

  constructor(rehearsal: Rehearsal) {
    this.#rehearsal = rehearsal;
    const { run, outlet, clock } = rehearsal;
    const ring = new CommandRing();
    const idleWork = new IdleWork(run, outlet, new HangWatch(new RunCell()), clock, []);
    this.#loop = new SendingLoop(run, idleWork, new PreciseWait(ring, NEVER_WAITS), ring);
  }

  /** A portion: some milliseconds while all is cold, a fraction of one later. True when it was the last. */
  portion(): boolean {
    if (!this.#waited) {
      this.#waited = true;
      this.#rehearseWaiting();
      return false;
    }
    const began = performance.now();
    for (let turn = 0; turn < TURNS; turn += 1) {
      this.#rehearsal.clock.set(this.#rehearsal.run.wake[0]!);
      this.#loop.turn();
    }
    const micros = ((performance.now() - began) * 1000) / (TURNS * GROUP);
    this.#turns += TURNS;
    this.#fast = micros < FAST_MICROS ? this.#fast + 1 : 0;
    this.done = this.#fast >= FAST_PORTIONS || this.#turns >= MOST_TURNS;
    return this.done;
  }

  #rehearseWaiting(): void {
    const ring = new CommandRing();
    const clock = new RunClock();
    const wait = new PreciseWait(ring, clock, this.#rehearsal);
    const until = new Float64Array(1);
    for (let i = 0; i < WAITS; i += 1) {
      clock.read(until);
      until[0] = until[0]! + (i % 16 === 0 ? 2500.5 : 60.5);
      wait.wait(until, ring.signal());
    }
  }
}

/** Always past every moment. */
const NEVER_WAITS: Clock = {
  read(into) {
    into[0] = Number.MAX_SAFE_INTEGER;
  },
};

const TURNS = 10;
/** Compiled code on a fast machine; a slow one stops by the number of turns. */
const FAST_MICROS = 1.2;
const FAST_PORTIONS = 60;
const MOST_TURNS = 10_000;
const WAITS = 32;
