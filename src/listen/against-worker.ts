/** The comparing thread: apart from the one that listens, which nothing may hold up, and from the screen. */
import { parentPort, workerData } from 'node:worker_threads';
import { LiveComparison } from '../core/compare/live-comparison.ts';
import { FAULT_NAMES } from '../core/midi/stream-fault.ts';
import { loadSong } from '../files/load-song.ts';
import { TapRing } from '../ports/tap-ring.ts';
import type { AgainstWork, FromAgainst, ToAgainst } from './against-work.ts';
import { standstillFrom, toldFrom } from './tap-sink.ts';

const LOOK_MS = 250;
/** After the last that came: what is overdue then is told in two looks on end. */
const LOOKS = 4;
/** Between looks what comes is taken out of the ring, which holds half a minute. */
const TAKE_MS = 100;
/** A look that takes long is made more seldom. */
const REST = 3;

function tell(said: FromAgainst): void {
  parentPort!.postMessage(said);
}

function work({ songPath, songPort, heardName, withinMicros, tap }: AgainstWork): void {
  const ring = new TapRing(tap);
  const { timeline } = loadSong(songPath, undefined, songPort);
  const names = { song: songPath, heard: heardName, faults: FAULT_NAMES };
  const live = new LiveComparison(timeline, names, { withinMicros });
  let timer: NodeJS.Timeout | undefined;
  let due = 0;
  /** Recording's time of what came last, and when that was taken. */
  let lastMicros = 0;
  let takenMs = 0;
  const take = (): void => {
    ring.drain((port, bytes, micros) => {
      const from = standstillFrom(port, bytes);
      if (from !== undefined) {
        live.stoodStill(from, micros);
        return;
      }
      const told = toldFrom(port, bytes);
      if (told !== undefined) {
        live.told(told);
        return;
      }
      live.feed(bytes.slice(), micros);
      lastMicros = micros;
      takenMs = performance.now();
      due = LOOKS;
    });
  };
  const taking = setInterval(take, TAKE_MS);
  const look = (): void => {
    const began = performance.now();
    take();
    if (due > 0) tell({ kind: 'view', view: live.look(lastMicros + 1000 * (performance.now() - takenMs)) });
    due = Math.max(0, due - 1);
    timer = setTimeout(look, Math.max(LOOK_MS, REST * (performance.now() - began)));
  };
  look();
  parentPort!.on('message', (_: ToAgainst) => {
    clearTimeout(timer);
    clearInterval(taking);
    take();
    tell({ kind: 'whole', document: live.whole(), lost: ring.lost });
    parentPort!.close();
  });
}

try {
  work(workerData as AgainstWork);
} catch (error) {
  tell({ kind: 'fault', error: error instanceof Error ? error : new Error(String(error)) });
}
