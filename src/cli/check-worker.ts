import { parentPort, workerData } from 'node:worker_threads';
import type { CheckOptions } from '../core/report/check-options.ts';
import { checkFile } from './check-file.ts';
import { rehearseCheck } from './check-rehearsal.ts';

/** A thread that checks the songs it is given, one after another. */
const options = workerData as Partial<CheckOptions>;
rehearseCheck(options);

parentPort!.on('message', ({ index, path }: { index: number; path: string }) => {
  parentPort!.postMessage({ index, check: checkFile(path, options) });
});
