import {
  limitFrom,
  type MutantRunner,
  type RunTime,
  TOO_LONG_ASLEEP,
  TOO_MUCH_WORK,
  type Where,
} from './mutant-runner.ts';
import type { RelatedTests } from './related-tests.ts';

/**
 * Which tests a file's mutants are asked: the nearest that pass when nothing is changed, as many as a budget of their
 * own time holds. A busy machine changes neither the choice nor the limits: only the time a test itself works counts.
 */
export class SoundTests {
  /** [test file] what it takes unchanged; undefined where it cannot be asked. Measured once in a run. */
  #times = new Map<string, RunTime | undefined>();
  readonly #timesOf = { thread: this.#times, process: new Map<string, RunTime | undefined>() };
  readonly #runner: MutantRunner;
  readonly #related: RelatedTests;
  readonly #budgetMs: number;
  readonly #tell: (line: string) => void;

  constructor(runner: MutantRunner, related: RelatedTests, budgetMs: number, tell: (line: string) => void) {
    this.#runner = runner;
    this.#related = related;
    this.#budgetMs = budgetMs;
    this.#tell = tell;
  }

  /** Makes the runner ready for a file's mutants. @returns how many tests they are asked */
  async take(file: string): Promise<number> {
    const where = file.startsWith('src/core/') ? 'thread' : 'process';
    this.#times = this.#timesOf[where];
    for (;;) {
      const { chosen, unweighed } = this.#choose(this.#related.of(file));
      if (unweighed.length > 0) await this.#weigh(unweighed, where);
      else if (chosen.length === 0) return 0;
      else {
        await this.#runner.use(chosen, where);
        return chosen.length;
      }
    }
  }

  /** Runs one mutant. A sleep that seems endless is held against a second one of the unchanged program. */
  async run(mutant: { readonly file: string; readonly source: string }): Promise<string | undefined> {
    const limitOf = (test: string) => limitFrom(this.#times.get(test)!);
    for (;;) {
      const { failed, at } = await this.#runner.run(mutant, limitOf);
      if (failed !== TOO_LONG_ASLEEP || at === undefined) return failed;
      const before = this.#times.get(at)!;
      const sound = await this.#runner.run(undefined, () => NO_LIMIT);
      for (const [test, time] of sound.passed) this.#times.set(test, longer(this.#times.get(test), time));
      if (limitOf(at).idleLooks < 2 * limitFrom(before).idleLooks) return failed;
    }
  }

  /** The nearest that fit into the budget by what is known. Those not weighed yet are hoped to take nothing. */
  #choose(candidates: readonly string[]): { chosen: string[]; unweighed: string[] } {
    const chosen: string[] = [];
    const unweighed: string[] = [];
    let sum = 0;
    for (const test of candidates) {
      if (chosen.length + unweighed.length >= MOST) break;
      if (!this.#times.has(test)) unweighed.push(test);
      const time = this.#times.get(test);
      if (time === undefined) continue;
      // One that takes most of the budget would keep out many that take little.
      if (chosen.length > 0 && time.cpuMs > this.#budgetMs / 2) continue;
      if (sum + time.cpuMs > this.#budgetMs) break;
      chosen.push(test);
      sum += time.cpuMs;
    }
    return { chosen, unweighed };
  }

  async #weigh(tests: readonly string[], where: Where): Promise<void> {
    await this.#runner.use(tests, where);
    const most: RunTime = { cpuMs: this.#budgetMs, idleLooks: MOST_IDLE_LOOKS };
    const { failed, at, passed } = await this.#runner.run(undefined, () => most, this.#budgetMs);
    for (const [test, time] of passed) this.#times.set(test, time);
    if (failed === undefined) return;
    const unfit = at ?? tests.at(-1)!;
    const isLong = failed === TOO_MUCH_WORK || failed === TOO_LONG_ASLEEP;
    this.#times.set(unfit, undefined);
    this.#tell(`left out: ${isLong ? `${unfit}: takes too long to be asked about every mutant` : failed}`);
  }
}

function longer(a: RunTime | undefined, b: RunTime): RunTime {
  if (a === undefined) return b;
  return { cpuMs: Math.max(a.cpuMs, b.cpuMs), idleLooks: Math.max(a.idleLooks, b.idleLooks) };
}

/** So many test files in one bundle. */
const MOST = 40;
/** A minute asleep. */
const MOST_IDLE_LOOKS = 1200;
const NO_LIMIT: RunTime = { cpuMs: Infinity, idleLooks: 10 * MOST_IDLE_LOOKS };
