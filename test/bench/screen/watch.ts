import { readFileSync } from 'node:fs';
import type { PtyRun } from '../../support/pty-run.ts';

export interface Watched {
  readonly bytesPerSecond: number;
  /** Of one core, all threads. */
  readonly processorPercent: number;
  readonly residentMb: number;
}

/** What a running program costs over the next so many seconds (Linux, proc manual page). */
export async function watch(run: PtyRun, seconds: number): Promise<Watched> {
  const start = { bytes: run.received, ticks: ticksOf(run.pid), at: performance.now() };
  await sleep(seconds * 1000);
  const elapsed = (performance.now() - start.at) / 1000;
  return {
    bytesPerSecond: (run.received - start.bytes) / elapsed,
    processorPercent: ((ticksOf(run.pid) - start.ticks) / TICKS_PER_SECOND / elapsed) * 100,
    residentMb: residentMb(run.pid),
  };
}

export function sleep(millis: number): Promise<void> {
  return new Promise((done) => setTimeout(done, millis));
}

export function median(values: readonly number[]): number {
  return quantile(values, 0.5);
}

export function quantile(values: readonly number[], share: number): number {
  if (values.length === 0) return Number.NaN;
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))]!;
}

/**
 * Ticks of 10 ms of processor time, all threads: user and system are the 14th and 15th value (Linux proc(5)); the name
 * before may hold spaces.
 */
export function ticksOf(pid: number): number {
  const values = readFileSync(`/proc/${pid}/stat`, 'latin1').split(') ')[1]!.split(' ');
  return Number(values[11]) + Number(values[12]);
}

/** USER_HZ, 100 on every Linux we know. */
const TICKS_PER_SECOND = 100;

function residentMb(pid: number): number {
  const kilobytes = /^VmRSS:\s+(\d+)/m.exec(readFileSync(`/proc/${pid}/status`, 'latin1'))?.[1];
  return Number(kilobytes) / 1024;
}
