import { readFileSync } from 'node:fs';
import type { RunCell } from '../run/run-cell.ts';

/**
 * Tells whether the main thread runs in circles. Then keys and signals reach nobody, and a song that goes on
 * could only be stopped by killing the process, which would leave notes sounding; so the engine pauses.
 *
 * A main thread that merely *waits* (a terminal that does not take the screen's bytes, say) never counts:
 * a stalled screen must not stop the music. The difference is processor time: without a pulse for
 * HANG_MICROS and busy for most of it. Only Linux tells (proc(5)); elsewhere the watch never speaks.
 */
export class HangWatch {
  #beat = -1;
  #askedMicros = 0;
  /** When the quiet began to count, and the main thread's processor time then; NaN while it is not quiet. */
  #quietMicros = Number.NaN;
  #quietTicks = 0;

  readonly #cell: RunCell;
  readonly #ticks: () => number;

  constructor(cell: RunCell, ticks: () => number = mainThreadTicks) {
    this.#cell = cell;
    this.#ticks = ticks;
  }

  /** Asked about once a second; true once for each time the main thread hangs. */
  hangs(nowMicros: number): boolean {
    const asleep = nowMicros - this.#askedMicros > SUSPENDED_MICROS;
    const beat = this.#cell.heartbeat;
    this.#askedMicros = nowMicros;
    if (beat !== this.#beat || asleep) {
      this.#beat = beat;
      this.#quietMicros = Number.NaN;
      return false;
    }
    if (Number.isNaN(this.#quietMicros)) {
      this.#quietMicros = nowMicros;
      this.#quietTicks = this.#ticks();
    }
    const quiet = nowMicros - this.#quietMicros;
    if (quiet < HANG_MICROS) return false;
    const busy = ((this.#ticks() - this.#quietTicks) * 1_000_000) / TICKS_PER_SECOND;
    this.#quietMicros = Number.POSITIVE_INFINITY; // said once; the next pulse begins anew
    return busy >= 0.8 * quiet;
  }
}

/** Processor time of the main thread (user and system) in ticks of 10 ms; NaN where the system does not say. */
function mainThreadTicks(): number {
  try {
    const stat = readFileSync(`/proc/${process.pid}/task/${process.pid}/stat`, 'latin1');
    // The second field is the name in brackets and may hold spaces; utime and stime are fields 14 and 15.
    const fields = stat.slice(stat.lastIndexOf(')') + 2).split(' ');
    return Number(fields[11]) + Number(fields[12]);
  } catch {
    return Number.NaN;
  }
}

/** No honest piece of work of the main thread takes this long. */
const HANG_MICROS = 15_000_000;
/** Longer than this between two questions, and the whole process was asleep. */
const SUSPENDED_MICROS = 3_000_000;
const TICKS_PER_SECOND = 100;
