/**
 * The machine's own floor: a loop that never sleeps and does nothing but wait for the same moments. What it is
 * late by is the system's doing, and no program can be better.
 *
 *   floor <song> <histogram file> <milliseconds not to count>
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { setPriority } from 'node:os';
import { isMainThread, Worker, workerData } from 'node:worker_threads';
import { parseMidi } from 'midi-file';
import { RunClock } from '../../../src/engine/clock/run-clock.ts';
import { LatenessLog } from '../../../src/engine/watch/lateness-log.ts';

if (isMainThread) {
  const [song, histogram, skip] = process.argv.slice(2) as [string, string, string];
  const parsed = parseMidi(readFileSync(song));
  const moments: number[] = [];
  let micros = 0;
  let perTick = 500;
  for (const event of parsed.tracks[0]!) {
    micros += event.deltaTime * perTick;
    if (event.type === 'setTempo') perTick = event.microsecondsPerBeat / parsed.header.ticksPerBeat!;
    else if ('channel' in event) moments.push(micros);
  }
  const log = new LatenessLog();
  const worker = new Worker(new URL(import.meta.url), {
    workerData: { moments: Float64Array.from(moments), log: log.buffer, skip: Number(skip) * 1000 },
  });
  worker.on('exit', () => {
    writeFileSync(histogram, JSON.stringify({ counts: [...log.counts()], worstMicros: log.worstMicros() }));
  });
} else {
  const { moments, skip } = workerData as { moments: Float64Array; skip: number };
  const log = new LatenessLog((workerData as { log: SharedArrayBuffer }).log);
  try {
    setPriority(-15); // as the sending thread; real time would starve everybody
  } catch {
    // not granted: then both do without
  }
  const clock = new RunClock();
  const now = new Float64Array(1);
  for (let i = 0; i < moments.length; i += 1) {
    const due = moments[i]! + 50_000;
    do clock.read(now);
    while (now[0]! < due);
    now[0] = now[0]! - due;
    if (due >= skip) log.add(now);
  }
}
