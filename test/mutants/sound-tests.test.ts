import { expect, test } from 'vitest';
import { cpuTimeOf, ownTask } from './cpu-time.ts';
import {
  limitFrom,
  type MutantRun,
  type MutantRunner,
  type RunTime,
  TOO_LONG_ASLEEP,
} from './mutant-runner.ts';
import type { RelatedTests } from './related-tests.ts';
import { SoundTests } from './sound-tests.ts';

/** Runs nothing: each test takes what it is said to take, and a mutant sleeps as long as it is said to sleep. */
class Played {
  used: readonly string[] = [];
  asleep = 0;
  readonly cpuMs: Record<string, number>;
  idleLooks = 0;

  constructor(cpuMs: Record<string, number>) {
    this.cpuMs = cpuMs;
  }

  async use(tests: readonly string[]): Promise<void> {
    this.used = tests;
  }

  async run(mutant: unknown, limitOf: (test: string) => RunTime, budgetMs = Infinity): Promise<MutantRun> {
    const passed = new Map<string, RunTime>();
    let sum = 0;
    for (const at of this.used) {
      if (sum >= budgetMs) break;
      const cpuMs = this.cpuMs[at]!;
      const idleLooks = mutant ? this.asleep : this.idleLooks;
      if (cpuMs > limitOf(at).cpuMs) return { failed: 'time: it works on and on', at, passed };
      if (idleLooks > limitOf(at).idleLooks) return { failed: TOO_LONG_ASLEEP, at, passed };
      passed.set(at, { cpuMs, idleLooks });
      sum += cpuMs;
    }
    return { failed: undefined, at: undefined, passed };
  }
}

function soundTests(played: Played): SoundTests {
  const related = { of: () => Object.keys(played.cpuMs) } as unknown as RelatedTests;
  return new SoundTests(played as unknown as MutantRunner, related, 1000, () => {});
}

const MUTANT = { file: 'src/core/a.ts', source: '' };

test('the nearest tests that fit into the budget are asked, and none that takes most of it', async () => {
  const played = new Played({
    near: 300,
    heavy: 600,
    long: 5000,
    next: 400,
    more: 200,
    far: 200,
    unasked: 1,
  });
  expect(await soundTests(played).take('src/core/a.ts')).toBe(3);
  expect(played.used).toEqual(['near', 'next', 'more']);
});

test('a mutant that sleeps is late only where the program as it is does not sleep as long today', async () => {
  const played = new Played({ near: 10 });
  const sound = soundTests(played);
  await sound.take('src/core/a.ts');
  played.asleep = limitFrom({ cpuMs: 10, idleLooks: 0 }).idleLooks + 1;
  expect(await sound.run(MUTANT)).toBe(TOO_LONG_ASLEEP);
  played.idleLooks = 100;
  expect(await sound.run(MUTANT)).toBeUndefined();
});

test.skipIf(process.platform !== 'linux')('a process knows what it has worked', () => {
  const task = ownTask('process');
  const before = cpuTimeOf(task).millis;
  const { user, system } = process.cpuUsage();
  // proc(5) and getrusage(2) are two accounts of the same time; each look at them takes a little itself.
  expect(Math.abs(before - (user + system) / 1000)).toBeLessThan(100);
  expect(cpuTimeOf(ownTask('thread')).isAsleep).toBe(false);
});
