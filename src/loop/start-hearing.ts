import { Worker } from 'node:worker_threads';
import type { LoopHearing } from '../core/loop/loop-hearing.ts';
import { askForRealTime } from '../engine/watch/thread-priority.ts';
import { workerEntry } from '../files/worker-entry.ts';
import { Refusal } from '../trouble/refusal.ts';
import { type FromHearing, HearBoard, type HearWork } from './hear-work.ts';

/** An input that is being heard, in a thread of its own. */
export interface Hearing {
  /** Bytes so far. */
  readonly bytes: number;
  readonly isLost: boolean;
  /** Nothing more will come. */
  readonly isEnded: boolean;
  /** Ends it and hands over what came. */
  stop(): Promise<LoopHearing>;
}

/** @throws Refusal when the input cannot be opened */
export async function startHearing(work: Omit<HearWork, 'board'>): Promise<Hearing> {
  const board = new SharedArrayBuffer(4 * HearBoard.length);
  const cells = new Int32Array(board);
  const worker = new Worker(workerEntry('loop/hear-worker'), {
    workerData: { ...work, board } satisfies HearWork,
    execArgv: [],
  });
  let give: (heard: LoopHearing) => void;
  let fail: (error: Error) => void;
  const heard = new Promise<LoopHearing>((resolve, reject) => {
    give = resolve;
    fail = reject;
  });
  heard.catch(() => {}); // told to whoever asks
  await new Promise<void>((resolve, reject) => {
    const broke = (error: Error): void => {
      reject(error);
      fail(error);
    };
    worker.on('message', (said: FromHearing) => {
      if (said.kind === 'ready') resolve();
      else if (said.kind === 'thread') void askForRealTime(said.thread);
      else if (said.kind === 'refused') broke(new Refusal(said.what, said.where, said.nextStep));
      else if (said.kind === 'fault') broke(said.error);
      else give({ ...said, isLost: Atomics.load(cells, HearBoard.isLost) === 1 });
    });
    worker.on('error', broke);
    worker.on('exit', () => broke(new Error('the hearing thread ended without a word')));
  });
  return {
    get bytes() {
      return Atomics.load(cells, HearBoard.bytes);
    },
    get isLost() {
      return Atomics.load(cells, HearBoard.isLost) === 1;
    },
    get isEnded() {
      return Atomics.load(cells, HearBoard.isEnded) === 1;
    },
    async stop() {
      worker.postMessage('stop');
      const all = await heard;
      // A read that blocks does not hold us up.
      const timer = setTimeout(() => void worker.terminate(), CLOSE_LIMIT_MS);
      worker.once('exit', () => clearTimeout(timer));
      return all;
    },
  };
}

const CLOSE_LIMIT_MS = 500;
