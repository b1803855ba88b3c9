/**
 * The thread that reads an input beside the music: it stamps what arrives when it arrives, puts it into the ring and
 * wakes the sending thread, and does nothing else.
 */
import { parentPort, workerData } from 'node:worker_threads';
import { microsPerByte } from '../../core/wire/wire-traits.ts';
import { openInput } from '../../ports/open-input.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { RunClock } from '../clock/run-clock.ts';
import { CommandRing } from '../run/command-ring.ts';
import { favourThisThread } from '../watch/thread-priority.ts';
import { Fed } from './input-feed.ts';
import { InputRing } from './input-ring.ts';
import type { FromInput, InputWork } from './input-work.ts';

async function read({ from, waitForDevice, link, ring, wake }: InputWork): Promise<void> {
  const thread = favourThisThread();
  if (thread !== undefined) tell({ kind: 'thread', thread });
  /** Of origin 0: the machine's own monotonic clock, which all threads share. */
  const clock = new RunClock(0);
  const entries = new InputRing(ring);
  const sender = new CommandRing(wake);
  const input = await openInput(from, { clock, waitForDevice, pace: 'wire', link });
  const byteMicros = input.paced ? microsPerByte(input.wire) : 0;
  const put = (what: number): void => {
    entries.put(what, clock.nowMicros());
    sender.wake();
  };
  input.start({
    bytes: (chunk, arrivedMicros) => {
      entries.putBytes(chunk, arrivedMicros, byteMicros);
      sender.wake();
    },
    lost: () => put(Fed.lost),
    back: () => put(Fed.back),
    ended: (trouble) => {
      if (trouble !== undefined) tell({ kind: 'trouble', trouble });
      put(Fed.ended);
    },
  });
  parentPort!.once('message', () => {
    void input.close().then(() => parentPort!.close());
  });
  tell({ kind: 'ready' });
}

function tell(said: FromInput): void {
  parentPort!.postMessage(said);
}

read(workerData as InputWork).catch((error: unknown) => {
  if (error instanceof Refusal) {
    tell({ kind: 'refused', what: error.what, where: error.where, nextStep: error.nextStep });
  } else tell({ kind: 'fault', error: error instanceof Error ? error : new Error(String(error)) });
  parentPort!.close();
});
