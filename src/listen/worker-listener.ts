import { Worker } from 'node:worker_threads';
import { createObservedState } from '../core/observe/create-observed-state.ts';
import { createListenState } from '../core/observe/listen-state.ts';
import type { Command } from '../core/schedule/command.ts';
import { RunClock } from '../engine/clock/run-clock.ts';
import type { PlayerEnd } from '../engine/run/player.ts';
import { askForRealTime } from '../engine/watch/thread-priority.ts';
import { workerEntry } from '../files/worker-entry.ts';
import { Refusal } from '../trouble/refusal.ts';
import { keepDevices } from './keep-devices.ts';
import type { FromListener, ListenWork, ToListener } from './listen-work.ts';
import type { Listener, ListenOptions } from './listener.ts';

/**
 * Listens in a thread of its own. Resolves once the ports are open.
 * @throws Refusal when the input, the output or the record cannot be opened
 */
export async function startWorkerListener(options: ListenOptions): Promise<Listener> {
  const observed = createObservedState();
  const listen = createListenState();
  const clock = new RunClock();
  const kept = await keepDevices(options);
  const work: ListenWork = {
    options: kept.thru === undefined ? options : { ...options, thru: kept.thru },
    shared: {
      observed: observed.buffer,
      listen: listen.buffer,
      originNanos: clock.originNanos,
      links: kept.links,
    },
  };
  const worker = new Worker(workerEntry('listen/listen-worker'), { workerData: work, execArgv: [] });
  const troubles: string[] = [];
  let over = false;
  let settle: (end: PlayerEnd) => void;
  const ended = new Promise<PlayerEnd>((resolve) => {
    settle = resolve;
  });
  const gone = new Promise<void>((resolve) => worker.once('exit', () => void kept.close().then(resolve)));
  await new Promise<void>((resolve, reject) => {
    const fault = (error: Error): void => {
      over = true;
      reject(error);
      settle({ kind: 'fault', error });
    };
    worker.on('message', (said: FromListener) => {
      if (said.kind === 'ready') resolve();
      else if (said.kind === 'thread') void askForRealTime(said.thread);
      else if (said.kind === 'trouble') troubles.push(said.trouble);
      else if (said.kind === 'refused') {
        over = true;
        reject(new Refusal(said.what, said.where, said.nextStep));
      } else if (said.kind === 'over') {
        over = true;
        settle({ kind: said.how });
      } else fault(said.error);
    });
    worker.on('error', fault);
    worker.on('exit', () => fault(new Error('the listening thread ended without a word')));
  });
  const send = (command: Command): void => {
    if (!over) worker.postMessage({ kind: 'command', command } satisfies ToListener);
  };
  return {
    observed,
    listen,
    troubles,
    ended,
    nowMicros: () => clock.nowMicros(),
    send,
    async close() {
      send({ kind: 'quit' });
      await ended;
      const timer = setTimeout(() => void worker.terminate(), CLOSE_LIMIT_MS);
      await gone;
      clearTimeout(timer);
    },
  };
}

/** After the end nothing is left to do but to free handles; a read that blocks does not hold us up. */
const CLOSE_LIMIT_MS = 500;
