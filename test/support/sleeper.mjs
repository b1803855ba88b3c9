/** Sleeps a millisecond at a time, and keeps in [0] of `workerData` the longest it was not woken, in microseconds. */
import { workerData } from 'node:worker_threads';

const longest = new Int32Array(workerData);
const never = new Int32Array(new SharedArrayBuffer(4));
for (let last = performance.now(); ; ) {
  Atomics.wait(never, 0, 0, 1);
  const now = performance.now();
  longest[0] = Math.max(longest[0], 1000 * (now - last));
  last = now;
}
