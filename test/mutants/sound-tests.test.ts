import { expect, test } from 'vitest';
import { cpuTimeOf, ownTask } from './cpu-time.ts';
import {
  limitFrom,
  type MutantRun,
  type MutantRunner,
  type RanFile,
  type Run,
  type RunTime,
  TOO_LONG_ASLEEP,
  TOO_MUCH_WORK,
} from './mutant-runner.ts';
import type { RelatedTests } from './related-tests.ts';
import type { Asked } from './run-in-worker.ts';
import { SoundTests } from './sound-tests.ts';

interface PlayedCase {
  readonly id: string;
  readonly cpuMs: number;
  readonly reached: readonly number[];
}

/** Runs nothing: each case takes what it is said to take, and a mutant sleeps as long as it is said to sleep. */
class Played {
  asked: Asked = {};
  asleep = 0;
  idleLooks = 0;
  readonly files: Readonly<Record<string, readonly PlayedCase[]>>;

  constructor(files: Readonly<Record<string, readonly PlayedCase[]>>) {
    this.files = files;
  }

  async use(): Promise<void> {}

  async run({ asked, mutant }: Run, limitOf: (test: string) => RunTime): Promise<MutantRun> {
    const passed = new Map<string, RanFile>();
    if (mutant) this.asked = asked;
    for (const [at, ids] of Object.entries(asked)) {
      const cases = this.files[at]!.filter(({ id }) => ids?.includes(id) ?? true);
      const cpuMs = cases.reduce((sum, one) => sum + one.cpuMs, 0);
      const idleLooks = mutant ? this.asleep : this.idleLooks;
      if (cpuMs > limitOf(at).cpuMs) return { failed: TOO_MUCH_WORK, at, passed };
      if (idleLooks > limitOf(at).idleLooks) return { failed: TOO_LONG_ASLEEP, at, passed };
      passed.set(at, { time: { cpuMs, idleLooks }, cases, reached: [] });
    }
    return { failed: undefined, at: undefined, passed };
  }
}

async function soundTests(played: Played): Promise<SoundTests> {
  const related = { of: () => Object.keys(played.files) } as unknown as RelatedTests;
  const sound = new SoundTests(played as unknown as MutantRunner, related, 1000, new Map(), () => {});
  await sound.take(MUTANT.file);
  return sound;
}

const MUTANT = { file: 'src/core/a.ts', source: '', number: 7 };

test('the cases that reach the place are asked while they fit into the budget, quick and near ones first', async () => {
  const played = new Played({
    near: [
      { id: 'slow', cpuMs: 900, reached: [7] },
      { id: 'quick', cpuMs: 100, reached: [6, 7] },
      { id: 'elsewhere', cpuMs: 1, reached: [6] },
    ],
    far: [{ id: 'fits', cpuMs: 300, reached: [7] }],
    endless: [{ id: 'on and on', cpuMs: 1e6, reached: [7] }],
  });
  expect(await (await soundTests(played)).run(MUTANT)).toEqual({
    failed: undefined,
    askedCases: 2,
    unaskedCases: 1,
  });
  expect(played.asked).toEqual({ near: ['quick'], far: ['fits'] });
});

test('where no case reaches the place, none is asked; in threads it is not known', async () => {
  const played = new Played({ near: [{ id: 'case', cpuMs: 10, reached: [] }] });
  expect(await (await soundTests(played)).run(MUTANT)).toMatchObject({ askedCases: 0 });
  const inProcess = { ...MUTANT, file: 'src/engine/a.ts' };
  const sound = await soundTests(played);
  await sound.take(inProcess.file);
  expect(await sound.run(inProcess)).toMatchObject({ askedCases: 1, unaskedCases: 0 });
});

test('a mutant that sleeps is late only where the program as it is does not sleep as long today', async () => {
  const played = new Played({ near: [{ id: 'case', cpuMs: 10, reached: [7] }] });
  const sound = await soundTests(played);
  played.asleep = limitFrom({ cpuMs: 10, idleLooks: 0 }).idleLooks + 1;
  expect(await sound.run(MUTANT)).toMatchObject({ failed: TOO_LONG_ASLEEP });
  played.idleLooks = 100;
  expect(await sound.run(MUTANT)).toMatchObject({ failed: undefined });
});

test.skipIf(process.platform !== 'linux')('a process knows what it has worked', () => {
  const task = ownTask('process');
  const before = cpuTimeOf(task).millis;
  const { user, system } = process.cpuUsage();
  // proc(5) and getrusage(2) are two accounts of the same time; each look at them takes a little itself.
  expect(Math.abs(before - (user + system) / 1000)).toBeLessThan(100);
  expect(cpuTimeOf(ownTask('thread')).isAsleep).toBe(false);
});
