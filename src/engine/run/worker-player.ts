import type { Worker } from 'node:worker_threads';
import { createObservedState } from '../../core/observe/create-observed-state.ts';
import { type Command, encodeCommand, Op } from '../../core/schedule/command.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { RunClock } from '../clock/run-clock.ts';
import { keepLanes } from '../lane/keep-lanes.ts';
import { latenessFileFrom } from '../watch/lateness-file.ts';
import { askForRealTime } from '../watch/thread-priority.ts';
import { CommandRing } from './command-ring.ts';
import { startEngineThread, threadNumberOf } from './engine-thread.ts';
import type { EngineReport, EngineWork } from './engine-work.ts';
import type { Player, PlayerEnd } from './player.ts';
import type { PlayerOptions } from './player-options.ts';
import { RunCell, RunPhase } from './run-cell.ts';

/**
 * Plays on the real clock, in a thread of its own. Resolves once the ports are open.
 * @param worker a thread from `startEngineThread` that has no work yet
 * @throws Refusal when a port cannot be opened; the thread is ended
 */
export async function startWorkerPlayer(
  options: PlayerOptions,
  worker: Worker = startEngineThread(),
): Promise<Player> {
  const observed = createObservedState();
  const ring = new CommandRing(undefined, options.inputs?.wake);
  const cell = new RunCell();
  const troubles: string[] = [];
  const kept = await keepLanes(options, (trouble) => troubles.push(trouble)).catch((error: unknown) => {
    void worker.terminate();
    throw error;
  });
  const lateness = latenessFileFrom(process.env.WIREPIT_LATENESS);
  const { started, ended } = listenTo(worker, cell);
  const gone = new Promise<void>((resolve) => {
    worker.once('exit', () => void kept.close().then(() => resolve()));
  });
  const work: EngineWork = {
    options:
      lateness === undefined
        ? options
        : {
            ...options,
            latenessLog: lateness.log.buffer,
            latenessFromMicros: lateness.fromMicros,
            visitLog: lateness.visits.buffer,
          },
    outputs: kept.lanes,
    observed: observed.buffer,
    ring: ring.buffer,
    cell: cell.buffer,
  };
  const pulse = setInterval(() => cell.beat(), PULSE_MS).unref();
  /** However the process ends, the notes end first: here the event loop no longer turns, so this blocks. */
  const atExit = (): void => {
    if (cell.phase === RunPhase.over) return;
    ring.push(Op.quit, 0, 0);
    if (cell.phase === RunPhase.starting) return; // it finds the quit before it has sent anything
    cell.waitUntilOver(EXIT_LIMIT_MS);
    void kept.close(); // the record is closed before its first wait
  };
  process.on('exit', atExit);
  worker.once('exit', () => {
    process.off('exit', atExit);
    clearInterval(pulse);
    lateness?.write();
  });
  worker.ref();
  worker.postMessage(work);
  // Not before: with real-time scheduling, what it compiles meanwhile would be in our way on a single processor.
  void threadNumberOf(worker)
    .then(askForRealTime)
    .then(() => cell.asked());
  const clock = new RunClock(await started);

  const push = (command: Command): void => {
    if (cell.phase === RunPhase.over) return;
    const [op, a, b] = encodeCommand(command);
    // A full ring means the thread is stuck: keep asking until it drains or is over.
    if (!ring.push(op, a, b)) setTimeout(push, RETRY_MS, command);
  };
  return {
    observed,
    troubles,
    nowMicros: () => clock.nowMicros(),
    send: push,
    ended,
    async close() {
      push({ kind: 'quit' });
      const timer = setTimeout(() => void worker.terminate(), CLOSE_LIMIT_MS);
      await gone;
      clearTimeout(timer);
    },
  };
}

/** Turns what the thread reports into two promises; the second never rejects. */
function listenTo(worker: Worker, cell: RunCell): { started: Promise<number>; ended: Promise<PlayerEnd> } {
  let settle: (end: PlayerEnd) => void;
  const ended = new Promise<PlayerEnd>((resolve) => {
    settle = resolve;
  });
  const started = new Promise<number>((resolve, reject) => {
    const fault = (error: Error): void => {
      cell.phase = RunPhase.over;
      reject(error);
      settle({ kind: 'fault', error });
    };
    worker.on('message', (report: EngineReport) => {
      if (report.kind === 'thread') return; // see `threadNumberOf`
      if (report.kind === 'ready') {
        resolve(report.originNanos);
      } else if (report.kind === 'refused') {
        cell.phase = RunPhase.over;
        reject(new Refusal(report.what, report.where, report.nextStep));
      } else if (report.kind === 'over') settle({ kind: report.how });
      else fault(report.error);
    });
    worker.on('error', fault);
    worker.on('exit', () => fault(new Error('the sending thread ended without a word')));
  });
  return { started, ended };
}

const PULSE_MS = 500;
const RETRY_MS = 10;
const EXIT_LIMIT_MS = 4000;
const CLOSE_LIMIT_MS = 10_000;
