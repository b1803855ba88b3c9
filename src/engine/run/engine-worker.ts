/**
 * The sending thread. It opens the ports, then sleeps and sends until the run is over, and never returns to its
 * event loop meanwhile: commands come through the ring, devices are watched by the main thread.
 */
import { parentPort, receiveMessageOnPort } from 'node:worker_threads';
import { createObservedState } from '../../core/observe/create-observed-state.ts';
import { threadTroubleOf } from '../../trouble/thread-trouble.ts';
import { PreciseWait } from '../clock/precise-wait.ts';
import { RunClock } from '../clock/run-clock.ts';
import { earsOf } from '../input/ear.ts';
import { openLanes } from '../lane/open-lanes.ts';
import { WireOutlet } from '../lane/wire-outlet.ts';
import { HangWatch } from '../watch/hang-watch.ts';
import { LatenessLog } from '../watch/lateness-log.ts';
import { favourThisThread, threadToFavour } from '../watch/thread-priority.ts';
import { CommandRing } from './command-ring.ts';
import { EngineRun } from './engine-run.ts';
import type { EngineReport, EngineWork } from './engine-work.ts';
import { IdleWork } from './idle-work.ts';
import { lastSilence } from './last-silence.ts';
import { Rehearsal } from './rehearsal.ts';
import { RunCell, RunPhase } from './run-cell.ts';
import { SendingLoop } from './sending-loop.ts';
import { WarmUp } from './warm-up.ts';

const rehearsal = new Rehearsal();
const warmUp = new WarmUp(rehearsal);

async function play(work: EngineWork): Promise<EngineReport> {
  const { options } = work;
  const lanes = await openLanes(work.outputs, options.waitForDevice);
  const observed = createObservedState(work.observed);
  const ring = new CommandRing(work.ring, options.inputs?.wake);
  const cell = new RunCell(work.cell);
  const clock = new RunClock();
  const outlet = new WireOutlet({
    clock,
    observed,
    lanes,
    activeSensing: options.activeSensing ?? false,
    takesVisitor: options.playAlong !== undefined,
    visitLog: options.visitLog && new LatenessLog(options.visitLog),
    latenessLog: options.latenessLog && new LatenessLog(options.latenessLog),
    latenessFromMicros: options.latenessFromMicros,
  });
  const ears = earsOf(options.inputs);
  const run = new EngineRun(options, outlet, observed, ring, clock, ears);
  const idleWork = new IdleWork(run, outlet, new HangWatch(cell), clock, [
    () => warmUp.done || warmUp.portion(),
  ]);
  const loop = new SendingLoop(run, idleWork, new PreciseWait(ring, clock, rehearsal), ring);
  rehearsal.before(run);
  // Before the music: on a busy machine the answer may come a second after the first notes.
  favourThisThread();
  if (thread !== undefined) cell.waitUntilAsked(LONGEST_ASKING_MS);
  clock.restart();
  for (const { feed } of ears) feed.begin(clock.originNanos / 1000);
  report({ kind: 'ready', originNanos: clock.originNanos });
  cell.phase = RunPhase.running;
  try {
    run.begin(options);
    while (loop.turn());
    return { kind: 'over', how: run.how };
  } catch (error) {
    lastSilence(observed, outlet, clock);
    return { kind: 'fault', error: error instanceof Error ? error : new Error(String(error)) };
  } finally {
    outlet.close();
    cell.phase = RunPhase.over;
  }
}

function report(said: EngineReport): void {
  parentPort!.postMessage(said);
}

function start(work: EngineWork): void {
  play(work).then(report, (error: unknown) => report(threadTroubleOf(error)));
}

/** Warms up until it is done or there is work; then a little more, and the rest between messages. */
function warmUpUntilWork(): EngineWork | undefined {
  const began = performance.now();
  let work: EngineWork | undefined;
  while (!warmUp.done && (work === undefined || performance.now() - began < QUICK_MS)) {
    warmUp.portion();
    work ??= receiveMessageOnPort(parentPort!)?.message;
  }
  return work;
}

/** A machine that takes longer to start a small program will not be punctual either way. */
const LONGEST_ASKING_MS = 2000;
/** Enough to have the code compiled once over, if not yet well. */
const QUICK_MS = 40;

// At once, so that the system is asked while the work is on its way.
const thread = threadToFavour();
if (thread !== undefined) report({ kind: 'thread', thread });
const work = warmUpUntilWork();
if (work === undefined) parentPort!.once('message', start);
else start(work);
