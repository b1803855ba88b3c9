import type { Clock } from '../clock/clock.ts';
import type { WireOutlet } from '../lane/wire-outlet.ts';
import type { HangWatch } from '../watch/hang-watch.ts';
import type { EngineRun } from './engine-run.ts';

/**
 * What the sending thread does while nothing is due: write out what ports hold back, ask lost ports whether
 * they are back, look after the main thread. Each has its own pace; none runs when a message is near.
 */
export class IdleWork {
  readonly #now = new Float64Array(1);
  /** Run time of the next flush, of the next look at lost ports, of the next look at the main thread. */
  readonly #next = new Float64Array(3);

  readonly #run: EngineRun;
  readonly #outlet: WireOutlet;
  readonly #watch: HangWatch;
  readonly #clock: Clock;
  /** Things to do once, in portions of some milliseconds; each says when it is done. */
  readonly #errands: (() => boolean)[];

  constructor(
    run: EngineRun,
    outlet: WireOutlet,
    watch: HangWatch,
    clock: Clock,
    errands: (() => boolean)[],
  ) {
    this.#run = run;
    this.#outlet = outlet;
    this.#watch = watch;
    this.#clock = clock;
    this.#errands = errands;
  }

  /** Called before each sleep. */
  doSome(): void {
    this.#clock.read(this.#now);
    const now = this.#now[0]!;
    const left = this.#run.wake[0]! - now;
    // Half a second late a flush no longer waits for a gap: a record promises to lose one second at most.
    if (now >= this.#next[FLUSH]! + (left < ROOM_MICROS ? FLUSH_MICROS : 0)) {
      this.#next[FLUSH] = now + FLUSH_MICROS;
      this.#outlet.flush();
    }
    if (left < ROOM_MICROS) return;
    if (this.#errands.length > 0) this.#runErrands(now, left);
    if (now >= this.#next[REVIVE]!) {
      this.#next[REVIVE] = now + REVIVE_MICROS;
      this.#run.lookAfterPorts();
    }
    if (now >= this.#next[WATCH]!) {
      this.#next[WATCH] = now + WATCH_MICROS;
      if (this.#watch.hangs(now)) this.#run.pause();
    }
  }

  /** As many portions as the gap holds, but never so many that a command has to wait long. */
  #runErrands(now: number, gap: number): void {
    const room = now < PATIENCE_MICROS ? ERRAND_MICROS : ROOM_MICROS;
    const until = now + Math.min(LONGEST_ERRAND_MICROS, gap - room);
    while (this.#errands.length > 0 && this.#now[0]! <= until) {
      if (this.#errands[0]!()) this.#errands.shift();
      this.#clock.read(this.#now);
    }
  }
}

const FLUSH = 0;
const REVIVE = 1;
const WATCH = 2;
const FLUSH_MICROS = 500_000;
const REVIVE_MICROS = 250_000;
const WATCH_MICROS = 1_000_000;
/** Time to the next message below which nothing else is begun. */
const ROOM_MICROS = 3000;
/** Time to the next message that an errand must leave; a song so dense that it leaves none gets them done in smaller gaps after a while. */
const ERRAND_MICROS = 10_000;
const PATIENCE_MICROS = 1_500_000;
const LONGEST_ERRAND_MICROS = 8000;
