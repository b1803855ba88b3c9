import { Worker } from 'node:worker_threads';
import { workerEntry } from '../../files/worker-entry.ts';
import { keepInput } from '../../ports/keep-input.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { askForRealTime } from '../watch/thread-priority.ts';
import { InputRing } from './input-ring.ts';
import type { FromInput, InputWork } from './input-work.ts';

/** An input that is read in a thread of its own. */
export interface StartedInput {
  /** Of an `InputRing`, which the sending thread reads. */
  readonly ring: SharedArrayBuffer;
  /** Frees thread and device. May be called twice. */
  close(): Promise<void>;
}

export interface HowToStart {
  readonly waitForDevice: boolean;
  /** Of the device that is kept as an output already; the input then needs no keeper of its own. */
  readonly link?: SharedArrayBuffer | undefined;
  /** Of the run's `CommandRing`: what wakes the sending thread. */
  readonly wake: SharedArrayBuffer;
  /** Hears what goes wrong later, a sentence each without a full stop. */
  tell(trouble: string): void;
}

/**
 * Starts to read an input beside the music, from the main thread.
 * @param from as `openInput` reads it
 * @throws Refusal when it cannot be opened; then nothing is kept
 */
export async function startInput(from: string, how: HowToStart): Promise<StartedInput> {
  const { waitForDevice, wake, tell } = how;
  const kept = how.link === undefined ? await keepInput(from, waitForDevice) : undefined;
  const { buffer: ring } = new InputRing();
  const work: InputWork = { from, waitForDevice, link: how.link ?? kept?.link, ring, wake };
  const worker = new Worker(workerEntry('engine/input/input-worker'), { workerData: work, execArgv: [] });
  const gone = new Promise<void>((resolve) => worker.once('exit', () => resolve()));
  try {
    await readyOrRefused(worker, tell);
  } catch (error) {
    await worker.terminate();
    await kept?.close();
    throw error;
  }
  worker.unref(); // the music keeps the process, not the one who may play along
  return {
    ring,
    async close() {
      worker.ref();
      worker.postMessage('close');
      const timer = setTimeout(() => void worker.terminate(), CLOSE_LIMIT_MS);
      await gone;
      clearTimeout(timer);
      await kept?.close();
    },
  };
}

function readyOrRefused(worker: Worker, tell: (trouble: string) => void): Promise<void> {
  return new Promise((resolve, reject) => {
    const fault = (error: Error): void => {
      reject(error);
      tell(`what is played along is no longer heard (${error.message})`);
    };
    worker.on('message', (said: FromInput) => {
      if (said.kind === 'ready') resolve();
      else if (said.kind === 'thread') void askForRealTime(said.thread);
      else if (said.kind === 'trouble') tell(said.trouble);
      else if (said.kind === 'refused') reject(new Refusal(said.what, said.where, said.nextStep));
      else fault(said.error);
    });
    worker.on('error', fault);
  });
}

/** After the end nothing is left to do but to free handles; a read that blocks does not hold us up. */
const CLOSE_LIMIT_MS = 500;
