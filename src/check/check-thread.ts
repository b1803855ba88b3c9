import type { Worker } from 'node:worker_threads';
import type { CheckOptions } from '../core/report/check-options.ts';
import { startHardWorkingThread } from '../engine/run/hard-working-thread.ts';
import type { ImageBoard } from '../files/image-file.ts';

/** What a checking thread is started with. */
export interface CheckTask {
  readonly options: Partial<CheckOptions>;
  /** First get the code compiled (check-rehearsal.ts); pays for itself where many songs follow. */
  readonly rehearse: boolean;
  /** What prepared songs are held against. */
  readonly board?: ImageBoard;
}

/** Starts `check-worker.ts`. It is sent `{ index, path, stretches? }`, and answers `{ index, check, stretches }`. */
export function startCheckThread(task: CheckTask): Worker {
  return startHardWorkingThread('check/check-worker', { workerData: task });
}
