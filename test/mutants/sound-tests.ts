import {
  DOES_NOT_BUILD,
  limitFrom,
  type MutantRunner,
  type RanFile,
  type RunTime,
  TOO_LONG_ASLEEP,
  TOO_MUCH_WORK,
  type Where,
} from './mutant-runner.ts';
import type { RelatedTests } from './related-tests.ts';
import type { Asked } from './run-in-worker.ts';

/** A changed source, and the number of the probe that stands where it is changed. */
export interface NumberedMutant {
  readonly file: string;
  readonly source: string;
  readonly number: number;
}

/** How a mutant fared. */
export interface Outcome {
  /** The first test that failed, and why; undefined when all passed. */
  readonly failed: string | undefined;
  readonly askedCases: number;
  /** Cases that reach the mutant, and that the budget had no room for. */
  readonly unaskedCases: number;
}

/**
 * Which test cases a mutant is asked: of those that pass when nothing is changed and that come to the changed place, as
 * many as a budget of their own time holds, quick and near ones first. A busy machine changes neither the choice nor the
 * limits: only the time a test itself works counts.
 */
export class SoundTests {
  /** [test file] what it takes unchanged; undefined where it cannot be asked. Measured once in a run. */
  #ran = new Map<string, RanFile | undefined>();
  readonly #ranIn = { thread: this.#ran, process: new Map<string, RanFile | undefined>() };
  /** The tests that may be asked about the file at hand, nearest first. */
  #nearest: readonly string[] = [];
  #where: Where = 'thread';
  readonly #runner: MutantRunner;
  readonly #related: RelatedTests;
  readonly #budgetMs: number;
  readonly #probed: ReadonlyMap<string, string>;
  readonly #tell: (line: string) => void;

  /** @param probed [file] its source with a probe where each mutant is (`withProbes`) */
  constructor(
    runner: MutantRunner,
    related: RelatedTests,
    budgetMs: number,
    probed: ReadonlyMap<string, string>,
    tell: (line: string) => void,
  ) {
    this.#runner = runner;
    this.#related = related;
    this.#budgetMs = budgetMs;
    this.#probed = probed;
    this.#tell = tell;
  }

  /** Makes the runner ready for a file's mutants. @returns how many test files they may be asked */
  async take(file: string): Promise<number> {
    this.#where = file.startsWith('src/core/') ? 'thread' : 'process';
    this.#ran = this.#ranIn[this.#where];
    const candidates = this.#related.of(file).slice(0, MOST);
    for (;;) {
      const unweighed = candidates.filter((test) => !this.#ran.has(test));
      if (unweighed.length === 0) break;
      await this.#weigh(unweighed);
    }
    this.#nearest = candidates.filter((test) => this.#ran.get(test) !== undefined);
    if (this.#nearest.length > 0) await this.#runner.use(this.#nearest, this.#where);
    return this.#nearest.length;
  }

  /** Runs one mutant. A sleep that seems endless is held against a second one of the unchanged program. */
  async run({ file, source, number }: NumberedMutant): Promise<Outcome> {
    const { asked, limits, askedCases, unaskedCases } = this.#choose(number);
    const sources = new Map([[file, source]]);
    for (;;) {
      const { failed, at } = await this.#runner.run({ asked, mutant: file, sources }, (test) =>
        limitFrom(limits.get(test)!),
      );
      const outcome = { failed, askedCases, unaskedCases };
      if (failed !== TOO_LONG_ASLEEP || at === undefined) return outcome;
      const before = limits.get(at)!;
      const { passed } = await this.#runner.run({ asked, sources: new Map() }, () => NO_LIMIT);
      for (const [test, { time }] of passed) limits.set(test, longer(limits.get(test)!, time));
      if (limitFrom(limits.get(at)!).idleLooks < 2 * limitFrom(before).idleLooks) return outcome;
    }
  }

  #choose(number: number) {
    const found = this.#nearest.flatMap((test, place) => {
      const { cases, reached, time } = this.#ran.get(test)!;
      const besideMs = Math.max(0, time.cpuMs - cases.reduce((sum, { cpuMs }) => sum + cpuMs, 0));
      return cases.map(({ id, cpuMs, reached: within }) => {
        const isReaching = reached.includes(number) || within.includes(number);
        const order = (isReaching ? 1 : UNREACHED) * (cpuMs + QUICK_MS) * (place + 1);
        return { test, id, cpuMs, besideMs, isReaching, order };
      });
    });
    // What a thread of the program comes to is not told to the one that started it.
    const candidates = found.filter(({ isReaching }) => isReaching || this.#where === 'process');
    candidates.sort((a, b) => a.order - b.order);
    const asked: Record<string, string[]> = {};
    const limits = new Map<string, RunTime>();
    let sum = 0;
    let unaskedCases = 0;
    let askedCases = 0;
    for (const { test, id, cpuMs, besideMs, isReaching } of candidates) {
      const { time } = this.#ran.get(test)!;
      const takesMs = cpuMs + (asked[test] ? 0 : besideMs);
      if (sum + takesMs > this.#budgetMs && askedCases > 0) {
        if (isReaching) unaskedCases += 1;
        continue;
      }
      sum += takesMs;
      askedCases += 1;
      asked[test] ??= [];
      asked[test].push(id);
      limits.set(test, { cpuMs: (limits.get(test)?.cpuMs ?? 0) + takesMs, idleLooks: time.idleLooks });
    }
    return { asked: asked as Asked, limits, askedCases, unaskedCases };
  }

  async #weigh(tests: readonly string[]): Promise<void> {
    await this.#runner.use(tests, this.#where);
    const asked = Object.fromEntries(tests.map((test) => [test, null]));
    const { failed, at, passed } = await this.#runner.run({ asked, sources: this.#probed }, () => LONGEST);
    for (const [test, ran] of passed) this.#ran.set(test, ran);
    if (failed === undefined) return;
    if (failed === DOES_NOT_BUILD) throw new Error('With its probes the program does not build');
    const unfit = at ?? tests.at(-1)!;
    const isLong = failed === TOO_MUCH_WORK || failed === TOO_LONG_ASLEEP;
    this.#ran.set(unfit, undefined);
    this.#tell(`left out: ${isLong ? `${unfit}: takes too long to be asked about every mutant` : failed}`);
  }
}

function longer(a: RunTime, b: RunTime): RunTime {
  return { cpuMs: Math.max(a.cpuMs, b.cpuMs), idleLooks: Math.max(a.idleLooks, b.idleLooks) };
}

/** So many test files in one bundle. */
const MOST = 24;
/** What a test file may take to be asked at all. A minute of work, a minute asleep. */
const LONGEST: RunTime = { cpuMs: 60_000, idleLooks: 1200 };
const NO_LIMIT: RunTime = { cpuMs: Infinity, idleLooks: 10 * LONGEST.idleLooks };
/** Of cases that take less the nearer one is first. */
const QUICK_MS = 10;
/** A case of which it is not known that it comes to the place stands behind all others. */
const UNREACHED = 1e9;
