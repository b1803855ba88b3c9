/** The thread that hears a clock: it does nothing else, so that what arrives is stamped when it arrives. */
import { parentPort, workerData } from 'node:worker_threads';
import { ClockInput } from '../core/follow/follow-state.ts';
import { RunClock } from '../engine/clock/run-clock.ts';
import { ClockRing } from '../engine/run/clock-ring.ts';
import { favourThisThread } from '../engine/watch/thread-priority.ts';
import { openInput } from '../ports/open-input.ts';
import { Refusal } from '../trouble/refusal.ts';
import { ClockSink } from './clock-sink.ts';
import type { FollowWork, FromFollower } from './follow-work.ts';

async function hear({ from, link, waitForDevice, ring: buffer }: FollowWork): Promise<void> {
  const thread = favourThisThread();
  if (thread !== undefined) tell({ kind: 'thread', thread });
  const ring = new ClockRing(buffer);
  // From 0: the one monotonic clock of all threads, whatever run time a song counts.
  const clock = new RunClock(0);
  const input = await openInput(from, { clock, link, waitForDevice, pace: 'wire' });
  const asked = new Promise<void>((resolve) => parentPort!.once('message', () => resolve()));
  const sink = new ClockSink(input, (micros, status, data1, data2) => ring.put(micros, status, data1, data2));
  input.start({
    bytes: (chunk, arrivedMicros) => sink.bytes(chunk, arrivedMicros),
    lost() {
      sink.finish();
      ring.input = ClockInput.lost;
    },
    back() {
      ring.input = ClockInput.there;
    },
    ended(trouble) {
      if (trouble !== undefined) tell({ kind: 'trouble', trouble });
      ring.input = ClockInput.ended;
    },
  });
  tell({ kind: 'ready' });
  await asked;
  await input.close();
}

function tell(said: FromFollower): void {
  parentPort!.postMessage(said);
}

hear(workerData as FollowWork)
  .catch((error: unknown) => {
    if (error instanceof Refusal) {
      tell({ kind: 'refused', what: error.what, where: error.where, nextStep: error.nextStep });
    } else tell({ kind: 'fault', error: error instanceof Error ? error : new Error(String(error)) });
  })
  .then(() => parentPort!.close());
