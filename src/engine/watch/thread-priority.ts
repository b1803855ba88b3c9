import { spawn } from 'node:child_process';
import { readlinkSync, writeFileSync } from 'node:fs';
import { setPriority } from 'node:os';

/**
 * Asks the system to favour the calling thread, as far as it may; never an error. docs/timing.md says how to
 * grant what is not granted by default, and `WIREPIT_PRIORITY=off` leaves everything as it is.
 *
 * - The timer slack is how much later than asked the kernel may wake a thread to save power: 50 µs by default. A
 *   thread may always lower its own (proc(5), timerslack_ns).
 * - A better nice value. `setPriority` acts on the calling thread on Linux (a thread is a process to
 *   setpriority(2)).
 *
 * @returns the system's number of this thread, for `askForRealTime`; undefined where nothing is to be asked for
 */
export function favourThisThread(): number | undefined {
  const thread = threadToFavour();
  if (thread === undefined) return undefined;
  quietly(() => writeFileSync(`/proc/${thread}/timerslack_ns`, '1'));
  quietly(() => setPriority(NICE));
  return thread;
}

/** The system's number of the calling thread; undefined where nothing is to be asked for it. */
export function threadToFavour(): number | undefined {
  return process.env.WIREPIT_PRIORITY === 'off' ? undefined : ownThreadId();
}

/**
 * Asks for real-time scheduling (round robin) for a thread of this process: then no ordinary work delays its
 * wake-ups. Node has no call for it, so the system's own tool `chrt` (util-linux) is asked, from the main thread,
 * which has time to see it end. Settles once it was asked, granted or not; never rejects.
 */
export function askForRealTime(thread: number): Promise<void> {
  return new Promise((resolve) => {
    try {
      const chrt = spawn('chrt', ['--rr', '--pid', String(REAL_TIME_RANK), String(thread)], {
        stdio: 'ignore',
      });
      chrt.on('error', () => resolve()); // not installed
      chrt.on('exit', () => resolve());
      chrt.unref();
    } catch {
      resolve(); // no process can be started
    }
  });
}

function ownThreadId(): number | undefined {
  try {
    return Number(readlinkSync('/proc/thread-self').split('/').at(-1));
  } catch {
    return undefined; // not Linux
  }
}

function quietly(action: () => void): void {
  try {
    action();
  } catch {
    // not permitted: then without it
  }
}

/** Well before everything ordinary, behind the system's own urgent threads. */
const NICE = -15;
/** Of 1 to 99. Low, so that the kernel's own threads and sound servers go first. */
const REAL_TIME_RANK = 10;
