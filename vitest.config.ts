import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** Files that run programs or wait for music; the others reckon. */
const WAITING = /\/test\/(terminal|cli|listen|loop|ports|engine|files|watch)\//;

/**
 * The two by turns, each the longest first: what one leaves of the processors the other uses, and neither is alone at
 * the end. All the waiting ones first took a tenth longer (reckoned from the times of every file, and two processors).
 */
class ByTurns extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const sorted = await super.sort(files);
    const isWaiting = ({ moduleId }: TestSpecification) => WAITING.test(moduleId);
    const waiting = sorted.filter(isWaiting);
    const others = sorted.filter((file) => !isWaiting(file));
    const placed = [waiting, others].flatMap((list) =>
      list.map((file, at) => ({ file, place: at / list.length })),
    );
    return placed.sort((a, b) => a.place - b.place).map(({ file }) => file);
  }
}

export default defineConfig({
  test: {
    include: ['test/**/*.test.ts', 'test/**/*.test.tsx'],
    exclude: ['test/bench/**', 'node_modules/**'],
    // A limit is for what hangs; how long a test takes on a machine that has other work is no finding.
    testTimeout: 240_000,
    hookTimeout: 240_000,
    // Nobody's own settings change what a test finds.
    env: { WIREPIT_CONFIG: 'off' },
    // A third of the time is waiting for programs and for music: two workers more than the cores of a small machine.
    maxWorkers: 4,
    // A fresh process and fresh modules for each of 400 files would be a fifth of all the work; no file mocks a
    // module or leaves anything behind, and every order must pass.
    isolate: false,
    sequence: { sequencer: ByTurns },
    globalSetup: './test/support/build-first.ts',
    reporters: ['default', './test/support/count-reporter.ts'],
  },
});
