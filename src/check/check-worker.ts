import { parentPort, workerData } from 'node:worker_threads';
import { checkFile } from './check-file.ts';
import { rehearseCheck } from './check-rehearsal.ts';
import type { CheckTask } from './check-thread.ts';

/** A thread that checks the songs it is given, one after another. */
const { options, rehearse, board } = workerData as CheckTask;
if (rehearse) rehearseCheck(options);

parentPort!.on('message', ({ index, path }: { index: number; path: string }) => {
  parentPort!.postMessage({ index, check: checkFile(path, options, board) });
});
