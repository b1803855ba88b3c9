import { readlinkSync, writeFileSync } from 'node:fs';
import { setPriority } from 'node:os';

/**
 * Asks the system to favour the calling thread, as far as it may; never an error. docs/timing.md says how to
 * grant what is not granted by default.
 *
 * `setPriority` acts on the calling thread on Linux (a thread is a process to setpriority(2)). The timer slack
 * is how much later than asked the kernel may wake a thread, to save power: 50 µs by default, and a thread may
 * lower its own (proc(5), timerslack_ns).
 */
export function favourThisThread(): { readonly priority: boolean; readonly timerSlack: boolean } {
  return { priority: raisePriority(), timerSlack: lowerTimerSlack() };
}

function raisePriority(): boolean {
  try {
    setPriority(NICE);
    return true;
  } catch {
    return false;
  }
}

function lowerTimerSlack(): boolean {
  try {
    const thread = readlinkSync('/proc/thread-self').split('/').at(-1);
    writeFileSync(`/proc/${thread}/timerslack_ns`, '1');
    return true;
  } catch {
    return false;
  }
}

/** Well before everything ordinary, behind the system's own urgent threads. */
const NICE = -15;
