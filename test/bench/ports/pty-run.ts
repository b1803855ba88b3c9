import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { hrtime } from 'node:process';
import { fileURLToPath } from 'node:url';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { fileOrderPlan } from '../../../src/core/wire/file-order-plan.ts';
import { startWorkerPlayer } from '../../../src/engine/run/worker-player.ts';
import { LatenessLog } from '../../../src/engine/watch/lateness-log.ts';
import { PtyPair } from '../../support/pty-pair.ts';
import { fullWireSong, MESSAGE_MICROS, streamBytes } from './full-wire.ts';

/** Microseconds late, in rising order. */
export type Lateness = Float64Array;

export interface PtyResult {
  /** Late at the far end of the pty, against the plan. */
  readonly arrival: Lateness;
  readonly bytesSent: number;
  readonly bytesLost: number;
  /** Bytes that are not the ones sent at their place. */
  readonly bytesWrong: number;
}

interface Played {
  /** Monotonic clock (ns) of song time 0. */
  readonly songStartNanos: number;
  readonly handover: Uint32Array;
}

/** Plays a full wire to a port for so many seconds. */
async function play(port: string, seconds: number): Promise<Played> {
  const messages = Math.floor((seconds * 1e6) / MESSAGE_MICROS);
  const timeline = buildTimeline(readSong(fullWireSong(messages)));
  const log = new LatenessLog();
  const player = await startWorkerPlayer({
    plan: fileOrderPlan(timeline.columns),
    durationMicros: timeline.durationMicros,
    outputs: [{ port }],
    latenessLog: log.buffer,
  });
  const originNanos = Number(hrtime.bigint()) - player.nowMicros() * 1000;
  await new Promise((resolve) => setTimeout(resolve, 200));
  const { numbers } = player.observed;
  const startMicros = numbers[Slot.positionAtMicros]! - numbers[Slot.positionMicros]!;
  await player.ended;
  await player.close();
  return { songStartNanos: originNanos + startMicros * 1000, handover: log.counts() };
}

export async function playToMock(seconds: number): Promise<Uint32Array> {
  return (await play('mock', seconds)).handover;
}

export async function playThroughPty(seconds: number): Promise<PtyResult & { handover: Uint32Array }> {
  const folder = mkdtempSync(join(tmpdir(), 'bench-pty-'));
  const pair = await PtyPair.plugged();
  const files = [join(folder, 'bytes'), join(folder, 'stamps')];
  const reader = spawn(
    process.execPath,
    [fileURLToPath(new URL('./far-reader.mjs', import.meta.url)), pair.far, ...files],
    {
      stdio: ['pipe', 'pipe', 'inherit'],
    },
  );
  await once(reader.stdout, 'data');
  const { songStartNanos, handover } = await play(`serial:${pair.near}`, seconds);
  await new Promise((resolve) => setTimeout(resolve, 200));
  reader.stdin.write('done\n');
  await once(reader, 'exit');
  const got = new Uint8Array(readFileSync(files[0]!));
  const stamps = JSON.parse(readFileSync(files[1]!, 'utf8')) as [nanos: number, length: number][];
  await pair.remove();
  rmSync(folder, { recursive: true });
  return { ...compare(got, stamps, songStartNanos, seconds), handover };
}

/** What came, beside what should have come; each message is judged by its last byte's arrival. */
function compare(
  got: Uint8Array,
  stamps: readonly (readonly [nanos: number, length: number])[],
  songStartNanos: number,
  seconds: number,
): PtyResult {
  const messages = Math.floor((seconds * 1e6) / MESSAGE_MICROS);
  const sent = streamBytes(messages);
  const arrivedAt = new Float64Array(got.length);
  let offset = 0;
  for (const [nanos, length] of stamps) {
    arrivedAt.fill(nanos, offset, offset + length);
    offset += length;
  }
  let bytesWrong = 0;
  for (let at = 0; at < Math.min(sent.length, got.length); at += 1) if (got[at] !== sent[at]) bytesWrong += 1;
  const arrival = new Float64Array(messages);
  for (let index = 0; index < messages; index += 1) {
    const due = songStartNanos + index * MESSAGE_MICROS * 1000;
    arrival[index] = ((arrivedAt[index * 3 + 2] ?? Number.NaN) - due) / 1000;
  }
  return {
    arrival: arrival.sort(),
    bytesSent: sent.length,
    bytesLost: Math.max(0, sent.length - got.length),
    bytesWrong,
  };
}
