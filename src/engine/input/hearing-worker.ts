/**
 * The thread that hears an input beside the music: it stamps what arrives when it arrives, puts it into the ring and
 * wakes the sending thread, and does nothing else.
 */
import { parentPort, workerData } from 'node:worker_threads';
import { openInput } from '../../ports/open-input.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { RunClock } from '../clock/run-clock.ts';
import { Wake } from '../clock/wake.ts';
import { favourThisThread } from '../watch/thread-priority.ts';
import type { FromHearing, HearingWork } from './hearing-work.ts';
import { Fed } from './input-feed.ts';
import { InputRing } from './input-ring.ts';
import { MessageStamper } from './message-stamper.ts';

async function hear({ from, waitForDevice, link, ring, wake }: HearingWork): Promise<void> {
  const thread = favourThisThread();
  if (thread !== undefined) tell({ kind: 'thread', thread });
  /** Of origin 0: the machine's own monotonic clock, which all threads share, whatever run time a song counts. */
  const clock = new RunClock(0);
  const entries = new InputRing(ring);
  const sender = new Wake(wake);
  const input = await openInput(from, { clock, waitForDevice, pace: 'wire', link });
  const stamper = new MessageStamper(input, (bytes, length, micros) =>
    entries.putBytes(bytes, length, micros),
  );
  const put = (what: number): void => {
    entries.put(what, clock.nowMicros());
    sender.wake();
  };
  input.start({
    bytes: (chunk, arrivedMicros) => {
      stamper.bytes(chunk, arrivedMicros);
      sender.wake();
    },
    lost() {
      stamper.finish();
      put(Fed.lost);
    },
    back: () => put(Fed.back),
    remark: (text) => tell({ kind: 'trouble', trouble: `${from}: ${text}` }),
    ended(trouble) {
      if (trouble !== undefined) tell({ kind: 'trouble', trouble });
      put(Fed.ended);
    },
  });
  parentPort!.once('message', () => {
    void input.close().then(() => parentPort!.close());
  });
  tell({ kind: 'ready' });
}

function tell(said: FromHearing): void {
  parentPort!.postMessage(said);
}

hear(workerData as HearingWork).catch((error: unknown) => {
  if (error instanceof Refusal) {
    tell({ kind: 'refused', what: error.what, where: error.where, nextStep: error.nextStep });
  } else tell({ kind: 'fault', error: error instanceof Error ? error : new Error(String(error)) });
  parentPort!.close();
});
