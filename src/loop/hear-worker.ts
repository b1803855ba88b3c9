/** The hearing thread: it does nothing else, so that what arrives is stamped when it arrives. */
import { parentPort, workerData } from 'node:worker_threads';
import { RunClock } from '../engine/clock/run-clock.ts';
import { favourThisThread } from '../engine/watch/thread-priority.ts';
import { openInput } from '../ports/open-input.ts';
import { threadTroubleOf } from '../trouble/thread-trouble.ts';
import { type FromHearing, HearBoard, type HearWork } from './hear-work.ts';

async function hear({ from, link, originNanos, room, board }: HearWork): Promise<FromHearing> {
  const thread = favourThisThread();
  if (thread !== undefined) tell({ kind: 'thread', thread });
  const clock = new RunClock(originNanos);
  const cells = new Int32Array(board);
  const bytes = new Uint8Array(room);
  const chunkEnd: number[] = [];
  const chunkMicros: number[] = [];
  let count = 0;
  let unkept = 0;
  const input = await openInput(from, { clock, link, waitForDevice: false, pace: 'wire', exact: true });
  const asked = new Promise<void>((resolve) => parentPort!.once('message', () => resolve()));
  input.start({
    bytes(chunk, arrivedMicros) {
      const kept = Math.min(chunk.length, room - count);
      bytes.set(chunk.subarray(0, kept), count);
      count += kept;
      unkept += chunk.length - kept;
      if (kept > 0) {
        chunkEnd.push(count);
        chunkMicros.push(arrivedMicros);
      }
      Atomics.add(cells, HearBoard.bytes, chunk.length);
    },
    lost: () => void Atomics.store(cells, HearBoard.isLost, 1),
    back: () => void Atomics.store(cells, HearBoard.isLost, 0),
    ended: () => void Atomics.store(cells, HearBoard.isEnded, 1),
  });
  tell({ kind: 'ready' });
  await asked;
  await input.close();
  return {
    kind: 'heard',
    bytes: bytes.slice(0, count),
    chunkEnd: Uint32Array.from(chunkEnd),
    chunkMicros: Float64Array.from(chunkMicros),
    unkept,
  };
}

function tell(said: FromHearing): void {
  parentPort!.postMessage(said);
}

hear(workerData as HearWork)
  .catch(threadTroubleOf)
  .then((said) => {
    tell(said);
    parentPort!.close();
  });
