import { availableParallelism } from 'node:os';
import type { Worker } from 'node:worker_threads';
import type { CheckOptions } from '../core/report/check-options.ts';
import type { ImageBoard } from '../files/image-file.ts';
import type { Stretch } from '../files/song-stretch.ts';
import { type CheckWithStretches, checkWithStretches, type FileCheck } from './check-file.ts';
import { startCheckThread } from './check-thread.ts';

/** Below so many songs a thread takes longer to start than they take to check. */
const FEWEST_FOR_THREADS = 8;

/** Fewer songs are checked before a rehearsal has paid for itself (measured with two threads). */
const FEWEST_FOR_REHEARSAL = 64;

/** Songs under way in each thread: the next is there when one is done. */
const AHEAD = 2;

/**
 * Checks songs, in threads when there are many.
 * @param jobs threads; by default one for each processor
 * @param done called for each song as it is finished, in no particular order
 * @param board what prepared songs are held against
 * @param stretches parts of each song whose lengths `done` is told
 * @returns checks in the order of the paths
 */
export async function checkMany(
  paths: readonly string[],
  options: Partial<CheckOptions>,
  jobs: number = availableParallelism(),
  done: (check: FileCheck, stretches: CheckWithStretches['stretches']) => void = () => {},
  board?: ImageBoard,
  stretches: readonly (readonly Stretch[])[] = [],
): Promise<FileCheck[]> {
  if (paths.length < FEWEST_FOR_THREADS || jobs < 2) {
    return paths.map((path, n) => {
      const found = checkWithStretches(path, stretches[n] ?? [], options, board);
      done(found.check, found.stretches);
      return found.check;
    });
  }
  const checks = new Array<FileCheck>(paths.length);
  let next = 0;
  const runOne = (worker: Worker) =>
    new Promise<void>((resolve, reject) => {
      let underWay = 0;
      const feed = () => {
        for (; underWay < AHEAD && next < paths.length; underWay += 1) {
          worker.postMessage({ index: next, path: paths[next], stretches: stretches[next] });
          next += 1;
        }
        if (underWay === 0) resolve();
      };
      worker.on('error', reject);
      worker.on('message', ({ index, ...found }: { index: number } & CheckWithStretches) => {
        checks[index] = found.check;
        done(found.check, found.stretches);
        underWay -= 1;
        feed();
      });
      feed();
    });
  const task = { options, rehearse: paths.length >= FEWEST_FOR_REHEARSAL, ...(board && { board }) };
  const workers = Array.from({ length: Math.min(jobs, paths.length) }, () => startCheckThread(task));
  try {
    await Promise.all(workers.map(runOne));
  } finally {
    await Promise.all(workers.map((worker) => worker.terminate()));
  }
  return checks;
}
