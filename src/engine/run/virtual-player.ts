import { createObservedState } from '../../core/observe/create-observed-state.ts';
import { type Command, encodeCommand } from '../../core/schedule/command.ts';
import { VirtualClock } from '../clock/virtual-clock.ts';
import { type Ear, earsOf } from '../input/ear.ts';
import { openLanes } from '../lane/open-lanes.ts';
import { recordLanes } from '../lane/record-taps.ts';
import { type LanePort, WireOutlet } from '../lane/wire-outlet.ts';
import { CommandRing } from './command-ring.ts';
import { EngineRun } from './engine-run.ts';
import type { Player, PlayerEnd } from './player.ts';
import type { PlayerOptions } from './player-options.ts';

/** A player whose time passes only when it is told to. */
export interface VirtualPlayer extends Player {
  /** Lets time pass to this run time (µs); everything due on the way is sent at its moment. False once over. */
  advanceTo(micros: number): boolean;
  /** Time jumps: nothing is done on the way, as when the whole program stood still. False once over. */
  stallTo(micros: number): boolean;
  /** What the sending thread does four times a second (`IdleWork`): looks which ports are gone, and which are back. */
  lookAfterPorts(): void;
  /** Run time (µs) at which something happens next; Infinity when only a command can make something happen. */
  nextMicros(): number;
}

/**
 * The same scheduler and outlet as in the sending thread, on a clock that stands still until it is advanced.
 * @param lanes ports that are open already, instead of those that the options name
 * @param ears what is heard, instead of the inputs that the options name
 * @throws Refusal when a port cannot be opened
 */
export async function openVirtualPlayer(
  options: PlayerOptions,
  lanes?: readonly LanePort[],
  ears: readonly Ear[] = earsOf(options.inputs),
): Promise<VirtualPlayer> {
  const clock = new VirtualClock();
  const observed = createObservedState();
  const ring = new CommandRing();
  const opened = lanes ?? (await openLanes(options.outputs, options.waitForDevice));
  const record = options.recordPath === undefined ? undefined : recordLanes(opened, options.recordPath);
  const outlet = new WireOutlet({
    takesVisitor: options.playAlong !== undefined,
    clock,
    observed,
    lanes: record?.lanes ?? opened,
    activeSensing: options.activeSensing ?? false,
    mostSenses: MOST_SENSES,
  });
  const run = new EngineRun(options, outlet, observed, ring, clock, ears);
  run.begin(options);
  const troubles: string[] = [];
  let over = false;
  let settle: (end: PlayerEnd) => void;
  const ended = new Promise<PlayerEnd>((resolve) => {
    settle = resolve;
  });

  const step = (): boolean => {
    if (over) return false;
    over = !run.step();
    if (over) {
      outlet.close();
      record?.recording.close();
      const trouble = record?.recording.takeTrouble();
      if (trouble !== undefined) troubles.push(trouble);
      settle({ kind: run.how });
    }
    return !over;
  };
  const advanceTo = (micros: number): boolean => {
    while (step() && run.wake[0]! <= micros) clock.set(run.wake[0]!);
    if (!over) clock.set(micros);
    return !over;
  };
  step();
  return {
    observed,
    ended,
    troubles,
    advanceTo,
    stallTo(micros) {
      clock.set(micros);
      return step();
    },
    lookAfterPorts: () => run.lookAfterPorts(),
    nowMicros: () => clock.nowMicros(),
    nextMicros: () => run.wake[0]!,
    send(command: Command) {
      ring.push(...encodeCommand(command));
      step();
    },
    async close() {
      ring.push(...encodeCommand({ kind: 'quit' }));
      while (step()) clock.set(run.wake[0]!);
    },
  };
}

/**
 * Plays as fast as the machine can, in this thread, giving way to everything else between short slices.
 * @throws Refusal when a port cannot be opened
 */
export async function runVirtualPlayer(options: PlayerOptions, lanes?: readonly LanePort[]): Promise<Player> {
  const player = await openVirtualPlayer(options, lanes);
  const slice = (): void => {
    const next = player.nextMicros();
    // Paused or stopped there is nothing to hurry to: look again when a person may have done something.
    if (next === Number.POSITIVE_INFINITY) {
      if (player.advanceTo(player.nowMicros())) setTimeout(slice, IDLE_MS).unref();
    } else if (player.advanceTo(Math.max(next, player.nowMicros() + SLICE_MICROS))) {
      setImmediate(slice);
    }
  };
  setImmediate(slice);
  return player;
}

/** Run time between two looks at the event loop: some milliseconds of computing for a dense song. */
const SLICE_MICROS = 10_000_000;
const IDLE_MS = 20;
/**
 * Nobody waits for Active Sensing on a clock that jumps: an hour and twenty minutes of nothing else, and a song whose pauses last
 * for years ends all the same.
 */
const MOST_SENSES = 20_000;
