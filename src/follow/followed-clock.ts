import { Worker } from 'node:worker_threads';
import { ClockInput, type LostClock } from '../core/follow/follow-state.ts';
import type { ClockLog } from '../engine/run/clock-feed.ts';
import type { FollowRequest } from '../engine/run/clock-following.ts';
import { ClockRing } from '../engine/run/clock-ring.ts';
import { askForRealTime } from '../engine/watch/thread-priority.ts';
import { workerEntry } from '../files/worker-entry.ts';
import { keepInput } from '../ports/keep-input.ts';
import { openInput } from '../ports/open-input.ts';
import type { KeptInput } from '../ports/port-kind.ts';
import { Refusal } from '../trouble/refusal.ts';
import { ClockSink } from './clock-sink.ts';
import type { FollowWork, FromFollower } from './follow-work.ts';

/** A clock that a whole run follows, whatever songs it plays one after another. */
export interface FollowedClock {
  /** What went wrong with its input, a sentence each without a full stop. Grows. */
  readonly troubles: readonly string[];
  /** Nothing more of it will ever come. On a virtual clock each song hears it from its beginning. */
  readonly hasEnded: boolean;
  /** @param pulseMicros a song's pulses (`clockMicrosOf`) */
  request(pulseMicros: Float64Array): FollowRequest;
  /** May be called twice. */
  close(): Promise<void>;
}

export interface HowToFollow {
  readonly onLost: LostClock;
  readonly waitForDevice: boolean;
}

/**
 * Hears a clock in a thread of its own.
 * @param from an input as `openInput` reads it
 * @throws Refusal when it cannot be opened
 */
export async function hearClock(
  from: string,
  { onLost, waitForDevice }: HowToFollow,
): Promise<FollowedClock> {
  const kept = await keepInput(from, waitForDevice);
  const ring = new ClockRing();
  const troubles: string[] = [];
  const worker = new Worker(workerEntry('follow/follow-worker'), {
    workerData: { from, link: kept.link, waitForDevice, ring: ring.buffer } satisfies FollowWork,
    execArgv: [],
  });
  try {
    await readyToHear(worker, ring, troubles);
  } catch (error) {
    await endHearing(worker, kept);
    throw error;
  }
  // The songs keep the process alive, not the clock.
  worker.unref();
  let closing: Promise<void> | undefined;
  const device = kept.link === undefined ? {} : { device: { spec: from, link: kept.link } };
  return {
    troubles,
    get hasEnded() {
      return ring.input === ClockInput.ended;
    },
    request: (pulseMicros) => ({ pulseMicros, onLost, ring: ring.buffer, ...device }),
    close() {
      closing ??= endHearing(worker, kept);
      return closing;
    },
  };
}

/**
 * A clock known beforehand, for the virtual clock: each song begins with its first message.
 * @throws Refusal when the file cannot be read
 */
export async function readClock(from: string, onLost: LostClock): Promise<FollowedClock> {
  const log = await clockLogOf(from);
  return {
    troubles: [],
    hasEnded: false,
    request: (pulseMicros) => ({ pulseMicros, onLost, log }),
    async close() {},
  };
}

async function clockLogOf(from: string): Promise<ClockLog> {
  const clock = { nowMicros: () => 0 };
  const input = await openInput(from, { clock, waitForDevice: false, pace: 'at-once' });
  const micros: number[] = [];
  const messages: number[] = [];
  const sink = new ClockSink(input, (at, status, data1, data2) => {
    micros.push(at);
    messages.push(status | (data1 << 8) | (data2 << 16));
  });
  await new Promise<void>((resolve) => {
    input.start({
      bytes: (chunk, arrivedMicros) => sink.bytes(chunk, arrivedMicros),
      lost() {},
      back() {},
      ended: () => resolve(),
    });
  });
  await input.close();
  return { micros: Float64Array.from(micros), messages: Uint32Array.from(messages) };
}

/** Settles once the input is open; whatever ends the thread later ends the clock. */
async function readyToHear(worker: Worker, ring: ClockRing, troubles: string[]): Promise<void> {
  await new Promise<void>((resolve, reject) => {
    const broke = (error: Error): void => {
      troubles.push(`the clock is heard no more: ${error.message}`);
      ring.input = ClockInput.ended;
      reject(error);
    };
    worker.on('message', (said: FromFollower) => {
      if (said.kind === 'ready') resolve();
      else if (said.kind === 'thread') void askForRealTime(said.thread);
      else if (said.kind === 'trouble') troubles.push(said.trouble);
      else if (said.kind === 'refused') reject(new Refusal(said.what, said.where, said.nextStep));
      else broke(said.error);
    });
    worker.on('error', broke);
    worker.on('exit', () => {
      ring.input = ClockInput.ended;
      reject(new Error('the thread that hears the clock ended without a word'));
    });
  });
}

async function endHearing(worker: Worker, kept: KeptInput): Promise<void> {
  const gone = new Promise<void>((resolve) => worker.once('exit', () => resolve()));
  if (worker.threadId === -1) return kept.close();
  worker.postMessage('stop');
  // A read that blocks does not hold us up.
  const timer = setTimeout(() => void worker.terminate(), CLOSE_LIMIT_MS);
  await gone;
  clearTimeout(timer);
  await kept.close();
}

const CLOSE_LIMIT_MS = 500;
