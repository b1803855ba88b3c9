import { Worker } from 'node:worker_threads';
import { workerEntry } from '../../files/worker-entry.ts';

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
  worker.unref();
  return worker;
}

/** The loop makes no garbage; what is left (start, commands) fits a small nursery that is quickly swept. */
const YOUNG_GENERATION_MB = 1;
