import { Worker } from 'node:worker_threads';
import { workerEntry } from '../../files/worker-entry.ts';
import { keepInput } from '../../ports/keep-input.ts';
import type { KeptInput } from '../../ports/port-kind.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { askForRealTime } from '../watch/thread-priority.ts';
import type { FromHearing, HearingWork } from './hearing-work.ts';
import { Fed } from './input-feed.ts';
import { InputRing } from './input-ring.ts';

/** An input that is heard in a thread of its own. */
export interface HeardInput {
  readonly ring: InputRing;
  /** `KeptInput.link`. */
  readonly link: SharedArrayBuffer | undefined;
  /** Frees thread and device. May be called twice. */
  close(): Promise<void>;
}

export interface HowToHear {
  readonly waitForDevice: boolean;
  /** Of the `Wake` that the sending thread sleeps on. */
  readonly wake: SharedArrayBuffer;
  /** Hears what goes wrong later, a sentence each without a full stop. */
  tell(trouble: string): void;
}

/**
 * Begins to hear an input beside the music, from the main thread.
 * @param from as `openInput` reads it
 * @throws Refusal when it cannot be opened; then nothing is kept
 */
export async function hearInput(from: string, { waitForDevice, wake, tell }: HowToHear): Promise<HeardInput> {
  const kept = await keepInput(from, waitForDevice);
  const ring = new InputRing();
  const work: HearingWork = { from, waitForDevice, link: kept.link, ring: ring.buffer, wake };
  const worker = new Worker(workerEntry('engine/input/hearing-worker'), { workerData: work, execArgv: [] });
  const gone = new Promise<void>((resolve) => worker.once('exit', () => resolve()));
  try {
    await readyOrRefused(worker, ring, (why) => tell(`${from} is heard no more (${why})`), tell);
  } catch (error) {
    await end(worker, gone, kept);
    throw error;
  }
  worker.unref(); // the music keeps the process, not what is heard
  let closing: Promise<void> | undefined;
  return {
    ring,
    link: kept.link,
    close() {
      closing ??= end(worker, gone, kept);
      return closing;
    },
  };
}

/** Settles once the input is open; whatever ends the thread later ends the input. */
function readyOrRefused(
  worker: Worker,
  ring: InputRing,
  broken: (why: string) => void,
  tell: (trouble: string) => void,
): Promise<void> {
  return new Promise((resolve, reject) => {
    const fault = (error: Error): void => {
      reject(error);
      broken(error.message);
    };
    worker.on('message', (said: FromHearing) => {
      if (said.kind === 'ready') resolve();
      else if (said.kind === 'thread') void askForRealTime(said.thread);
      else if (said.kind === 'trouble') tell(said.trouble);
      else if (said.kind === 'refused') reject(new Refusal(said.what, said.where, said.nextStep));
      else fault(said.error);
    });
    worker.on('error', fault);
    worker.on('exit', () => {
      // Its writer is gone, so this thread may write.
      if (ring.input !== Fed.ended) ring.put(Fed.ended, Number(process.hrtime.bigint() / 1000n));
      reject(new Error('the thread that hears an input ended without a word'));
    });
  });
}

/** After the end nothing is left to do but to free handles; a read that blocks does not hold us up. */
async function end(worker: Worker, gone: Promise<void>, kept: KeptInput): Promise<void> {
  worker.ref();
  worker.postMessage('close');
  const timer = setTimeout(() => void worker.terminate(), CLOSE_LIMIT_MS);
  await gone;
  clearTimeout(timer);
  await kept.close();
}

const CLOSE_LIMIT_MS = 500;
