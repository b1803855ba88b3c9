import { readFileSync, readlinkSync } from 'node:fs';

/** What a thread or process has done so far: its own work, not what others took from it meanwhile. */
export interface CpuTime {
  /** Time on a processor. Where the system does not say (it is not Linux): time on the wall. */
  readonly millis: number;
  /** It waits for something other than a processor. */
  readonly isAsleep: boolean;
}

/** Where Linux tells of this thread (`proc(5)`); of all the process's threads with `'process'`. */
export function ownTask(where: 'thread' | 'process'): string {
  try {
    return where === 'process' ? `/proc/${process.pid}` : `/proc/${readlinkSync('/proc/thread-self')}`;
  } catch {
    return '';
  }
}

/** The time of a task by `ownTask`; one that has ended is asleep. */
export function cpuTimeOf(task: string): CpuTime {
  if (task === '') return { millis: performance.now(), isAsleep: false };
  try {
    const stat = readFileSync(`${task}/stat`, 'latin1');
    // After the name in brackets, which may hold anything: state (3rd of proc(5)), …, utime (14th), stime (15th).
    const fields = stat.slice(stat.lastIndexOf(')') + 2).split(' ');
    return { millis: (Number(fields[11]) + Number(fields[12])) * TICK_MS, isAsleep: fields[0] === 'S' };
  } catch {
    return { millis: 0, isAsleep: true };
  }
}

/** `sysconf(_SC_CLK_TCK)` is 100 on every Linux that Node.js runs on. */
const TICK_MS = 10;
