import type { PreciseWait } from '../clock/precise-wait.ts';
import type { CommandRing } from './command-ring.ts';
import type { EngineRun } from './engine-run.ts';
import type { IdleWork } from './idle-work.ts';

/** The sending thread's loop, one turn a call, so that the compiler gets to see a whole function often. */
export class SendingLoop {
  readonly #run: EngineRun;
  readonly #idleWork: IdleWork;
  readonly #wait: PreciseWait;
  readonly #ring: CommandRing;

  constructor(run: EngineRun, idleWork: IdleWork, wait: PreciseWait, ring: CommandRing) {
    this.#run = run;
    this.#idleWork = idleWork;
    this.#wait = wait;
    this.#ring = ring;
  }

  /** Sends what is due, and sleeps until the next moment or command. False once the run is over. */
  turn(): boolean {
    const seen = this.#ring.signal();
    if (!this.#run.step()) return false;
    this.#idleWork.doSome();
    this.#wait.wait(this.#run.wake, seen);
    return true;
  }
}
