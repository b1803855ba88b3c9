import { createObservedState } from '../core/observe/create-observed-state.ts';
import { MockPort } from '../ports/mock-port.ts';
import type { Clock } from './clock.ts';
import { CommandRing } from './command-ring.ts';
import { EngineRun } from './engine-run.ts';
import { HangWatch } from './hang-watch.ts';
import { LatenessLog } from './lateness-log.ts';
import { Leisure } from './leisure.ts';
import { PreciseWait } from './precise-wait.ts';
import { GROUP, GROUP_MICROS, rehearsalPlan } from './rehearsal-plan.ts';
import { RunCell } from './run-cell.ts';
import { RunClock } from './run-clock.ts';
import { SendingLoop } from './sending-loop.ts';
import { VirtualClock } from './virtual-clock.ts';
import { WireOutlet } from './wire-outlet.ts';

/**
 * A run to nowhere beside the real one: the same code, other data. It has two uses.
 *
 * Cold code: until the compiler has seen enough, a message costs 50 µs and the last note of a chord of sixteen
 * is a millisecond late; warm it costs half a microsecond. `warmUp` plays to nowhere until then.
 *
 * Cold caches: after a sleep the first messages cost 40 and 20 µs, each one after them 1. Playing a few to
 * nowhere shortly before the moment takes most of that upon itself (measured: docs/timing.md).
 */
export class Rehearsal {
  readonly #clock = new VirtualClock();
  readonly #outlet: WireOutlet;
  readonly #run: EngineRun;
  #real: EngineRun | undefined;

  constructor() {
    const observed = createObservedState();
    this.#outlet = new WireOutlet({
      clock: this.#clock,
      observed,
      lanes: [{ port: new MockPort() }],
      latenessLog: new LatenessLog(),
    });
    const plan = rehearsalPlan(GROUPS);
    const durationMicros = GROUPS * GROUP_MICROS;
    const options = { plan, durationMicros, outputs: [] };
    this.#run = new EngineRun(options, this.#outlet, observed, new CommandRing(), this.#clock);
    this.#run.begin({ ...options, setup: [{ kind: 'loop', fromMicros: 0, toMicros: durationMicros }] });
  }

  /** The run whose moment `next` precedes. A step of it, before anything is due, only looks at its data. */
  before(real: EngineRun): void {
    this.#real = real;
  }

  /** Plays what comes next to nowhere: a group of messages. */
  next(): void {
    this.#clock.set(this.#run.wake[0] as number);
    this.#run.step();
    this.#real?.step();
  }

  /** Until the code is compiled, or for `limitMs`. The turns of the loop are rehearsed with a clock that never waits. */
  warmUp(limitMs: number): void {
    const until = performance.now() + limitMs;
    const ring = new CommandRing();
    const leisure = new Leisure(this.#run, this.#outlet, new HangWatch(new RunCell()), this.#clock);
    const loop = new SendingLoop(this.#run, leisure, new PreciseWait(ring, NEVER_WAITS), ring);
    let tookMs = Number.POSITIVE_INFINITY;
    while (tookMs > WARM_MS && performance.now() < until) {
      const began = performance.now();
      for (let turn = 0; turn < TURNS; turn += 1) {
        this.#clock.set(this.#run.wake[0] as number);
        loop.turn();
      }
      tookMs = performance.now() - began;
    }
    this.#warmUpWaiting();
  }

  #warmUpWaiting(): void {
    const ring = new CommandRing();
    const clock = new RunClock();
    const wait = new PreciseWait(ring, clock, this);
    const until = new Float64Array(1);
    for (let i = 0; i < WAITS; i += 1) {
      clock.read(until);
      until[0] = (until[0] as number) + (i % 16 === 0 ? 2500.5 : 160.5);
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

const GROUPS = 64;
/** Turns between two looks at the time, and how long they take once everything is compiled. */
const TURNS = 250;
const WARM_MS = (TURNS * GROUP * 1.2) / 1000;
const WAITS = 48;
