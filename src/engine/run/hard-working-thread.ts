import { setFlagsFromString } from 'node:v8';
import { Worker, type WorkerOptions } from 'node:worker_threads';
import { workerEntry } from '../../files/worker-entry.ts';

/**
 * Starts a thread that may be ended while it works hard. Its code is compiled in the thread itself: Node 20 aborts the
 * whole process, music and all, where a thread goes while V8 still compiles its code beside it (seen here as a failed
 * assertion in `NodePlatform::ForIsolate`, after 1 of 70 short checks). V8 reads the flag as a thread's heap is made.
 * @param path as for `workerEntry`
 */
export function startHardWorkingThread(path: string, options: WorkerOptions): Worker {
  if (starting === 0) setFlagsFromString('--no-concurrent-recompilation');
  starting += 1;
  const worker = new Worker(workerEntry(path), options);
  let isThere = false;
  const arrive = (): void => {
    if (isThere) return;
    isThere = true;
    starting -= 1;
    if (starting === 0) setFlagsFromString('--concurrent-recompilation');
  };
  worker.once('online', arrive);
  worker.once('exit', arrive);
  return worker;
}

let starting = 0;
