import { Worker } from 'node:worker_threads';
import { workerEntry } from '../../files/worker-entry.ts';
import type { EngineReport } from './engine-work.ts';

/**
 * Starts the sending thread, which then compiles its code by playing to nowhere (`warmUp`). Worth doing first
 * of all, while the song is still being read; `startWorkerPlayer` makes one itself where none is handed in.
 * It does not keep the process alive until it is given work.
 */
export function startEngineThread(): Worker {
  const worker = new Worker(workerEntry('engine/run/engine-worker'), {
    execArgv: [],
    resourceLimits: { maxYoungGenerationSizeMb: YOUNG_GENERATION_MB },
  });
  const said = new Promise<number>((resolve) => {
    worker.on('message', (report: EngineReport) => {
      if (report.kind === 'thread') resolve(report.thread);
    });
  });
  numbers.set(worker, said);
  worker.unref();
  return worker;
}

/** The system's number of such a thread, for `askForRealTime`, once it has said it; never, where nothing is to be asked for. */
export function threadNumberOf(worker: Worker): Promise<number> {
  return numbers.get(worker) ?? new Promise(() => {});
}

const numbers = new WeakMap<Worker, Promise<number>>();

/** The loop makes no garbage; what is left (start, commands) fits a small nursery that is quickly swept. */
const YOUNG_GENERATION_MB = 1;
