/** What the system says of a thread: proc(5), /proc/pid/stat fields 40 and 41 (rank, policy), timerslack_ns; sched(7). */
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { getPriority, setPriority } from 'node:os';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import {
  askForRealTime,
  favourThisThread,
  threadToFavour,
} from '../../../src/engine/watch/thread-priority.ts';

const SLACK = `/proc/${process.pid}/timerslack_ns`;
const isLinux = existsSync(SLACK);
/** A plain `chrt` on ourselves tells whether this system grants it to us at all. */
const isGranted = isLinux && spawnSync('chrt', ['--rr', '5', 'true']).status === 0;
const ROUND_ROBIN = 2;

/** Fields are counted behind the name, which may have spaces in it. */
function schedulingOf(pid: number) {
  const fields = readFileSync(`/proc/${pid}/stat`, 'latin1').split(') ')[1]!.split(' ');
  return { rank: Number(fields[40 - 3]), policy: Number(fields[41 - 3]) };
}

afterEach(() => {
  delete process.env.WIREPIT_PRIORITY;
});

describe.skipIf(!isLinux)('a thread that is favoured', () => {
  let nice = 0;
  beforeEach(() => {
    nice = getPriority();
    writeFileSync(SLACK, '50000');
  });
  afterEach(() => {
    if (isGranted) setPriority(nice);
    writeFileSync(SLACK, '50000');
  });

  test('is this one, is woken as exactly as the system can, and is nicer to no one', () => {
    expect(favourThisThread()).toBe(process.pid); // the first thread of a process has its number
    expect(readFileSync(SLACK, 'latin1').trim()).toBe('1');
    expect(getPriority()).toBe(isGranted ? -15 : nice);
  });

  test('not where the environment says off: nothing is changed', () => {
    process.env.WIREPIT_PRIORITY = 'off';
    expect(favourThisThread()).toBeUndefined();
    expect(threadToFavour()).toBeUndefined();
    expect(readFileSync(SLACK, 'latin1').trim()).toBe('50000');
    expect(getPriority()).toBe(nice);
  });

  test('any other word is no off', () => {
    process.env.WIREPIT_PRIORITY = 'on';
    expect(threadToFavour()).toBe(process.pid);
  });
});

describe('real time', () => {
  let sleeper: ChildProcess;
  beforeEach(() => {
    sleeper = spawn('sleep', ['600']);
  });
  afterEach(() => void sleeper.kill('SIGKILL'));

  test.skipIf(!isGranted)('round robin, at a low rank', async () => {
    expect(schedulingOf(sleeper.pid!)).toEqual({ rank: 0, policy: 0 });
    await askForRealTime(sleeper.pid!);
    expect(schedulingOf(sleeper.pid!)).toEqual({ rank: 10, policy: ROUND_ROBIN });
  });

  test('asked for nobody, or with no tool to ask: never an error', async () => {
    await askForRealTime(2 ** 30);
    const path = process.env.PATH;
    process.env.PATH = '/nowhere';
    try {
      await askForRealTime(sleeper.pid!);
    } finally {
      process.env.PATH = path;
    }
  });
});
