import { type ChildProcess, spawn } from 'node:child_process';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';

/** A shorter one makes no note late (`--within` is 10 ms). */
const WORTH_TELLING_MS = 5;
const CORE_WATCH = join(import.meta.dirname, 'core-watch.mjs');

/** When the machine itself stood still: a sleeper on each core (util-linux `taskset`), which does nothing that could be late. */
export class MachineWatch {
  readonly #sleepers: ChildProcess[] = [];
  readonly #standstills: { readonly fromMs: number; readonly toMs: number }[] = [];

  constructor() {
    for (let core = 0; core < availableParallelism(); core += 1) {
      const args = ['-c', String(core), process.execPath, CORE_WATCH, String(WORTH_TELLING_MS)];
      const sleeper = spawn('taskset', args, { stdio: ['ignore', 'pipe', 'ignore'] });
      sleeper.on('error', () => undefined); // no such tool: then nothing is known of the weather
      createInterface({ input: sleeper.stdout! }).on('line', (line) => {
        const [fromMs = 0, toMs = 0] = line.split(' ').map(Number);
        this.#standstills.push({ fromMs, toMs });
      });
      this.#sleepers.push(sleeper);
    }
  }

  /** The longest time for which a core stood still, in milliseconds, of those that end after `fromMs` (since 1970). */
  longestSince(fromMs: number): number {
    return this.#standstills.reduce((most, { fromMs: from, toMs: to }) => {
      return to > fromMs ? Math.max(most, to - from) : most;
    }, 0);
  }

  close(): void {
    for (const sleeper of this.#sleepers) sleeper.kill('SIGKILL');
  }
}
