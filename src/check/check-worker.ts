import { parentPort, workerData } from 'node:worker_threads';
import type { Stretch } from '../files/song-stretch.ts';
import { checkWithStretches } from './check-file.ts';
import { rehearseCheck } from './check-rehearsal.ts';
import type { CheckTask } from './check-thread.ts';

/** A thread that checks the songs it is given, one after another. */
const { options, rehearse, board } = workerData as CheckTask;
if (rehearse) rehearseCheck(options);

type Asked = { index: number; path: string; stretches?: readonly Stretch[] };
parentPort!.on('message', ({ index, path, stretches = [] }: Asked) => {
  parentPort!.postMessage({ index, ...checkWithStretches(path, stretches, options, board) });
});
