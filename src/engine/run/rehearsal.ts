import { createObservedState } from '../../core/observe/create-observed-state.ts';
import { MockPort } from '../../ports/mock/mock-port.ts';
import { VirtualClock } from '../clock/virtual-clock.ts';
import { WireOutlet } from '../lane/wire-outlet.ts';
import { LatenessLog } from '../watch/lateness-log.ts';
import { CommandRing } from './command-ring.ts';
import { EngineRun } from './engine-run.ts';
import { GROUP_MICROS, rehearsalPlan } from './rehearsal-plan.ts';

/**
 * A run to nowhere beside the real one: the same code, other data. After a sleep the caches are cold: the first
 * messages then cost 40 and 20 µs, each one after them 1. Playing a few to nowhere shortly before the moment
 * takes most of that upon itself (measured: docs/timing.md). `WarmUp` uses the same run.
 */
export class Rehearsal {
  readonly clock = new VirtualClock();
  readonly outlet: WireOutlet;
  readonly run: EngineRun;
  #real: EngineRun | undefined;

  constructor() {
    const observed = createObservedState();
    this.outlet = new WireOutlet({
      clock: this.clock,
      observed,
      lanes: [{ port: new MockPort() }],
      latenessLog: new LatenessLog(),
    });
    const plan = rehearsalPlan(GROUPS);
    const durationMicros = GROUPS * GROUP_MICROS;
    const options = { plan, durationMicros, outputs: [] };
    this.run = new EngineRun(options, this.outlet, observed, new CommandRing(), this.clock);
    this.run.begin({ ...options, setup: [{ kind: 'loop', fromMicros: 0, toMicros: durationMicros }] });
  }

  /** The run whose moment `next` precedes. A step of it, before anything is due, only looks at its data. */
  before(real: EngineRun): void {
    this.#real = real;
  }

  /** Plays what comes next to nowhere: a group of messages. */
  next(): void {
    this.clock.set(this.run.wake[0]!);
    this.run.step();
    this.#real?.step();
  }
}

const GROUPS = 64;
