import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** Files that run programs, wait for music or read many songs: first, so that none of them is alone at the end. */
const LONG = /\/test\/(terminal|cli|listen|outside|hostile)\/|-songs\.test/;

class LongFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const sorted = await super.sort(files);
    const isLong = ({ moduleId }: TestSpecification) => LONG.test(moduleId);
    return [...sorted.filter(isLong), ...sorted.filter((file) => !isLong(file))];
  }
}

export default defineConfig({
  test: {
    include: ['test/**/*.test.ts', 'test/**/*.test.tsx'],
    exclude: ['test/bench/**', 'node_modules/**'],
    // A limit is for what hangs; how long a test takes on a machine that has other work is no finding.
    testTimeout: 60_000,
    // Nobody's own settings change what a test finds.
    env: { WIREPIT_CONFIG: 'off' },
    // Half of the tests wait for programs in terminals: one worker more than the two cores of a small machine.
    maxWorkers: 3,
    // A fresh process and fresh modules for each of 136 files would be a fifth of all the work; no file mocks a
    // module or leaves anything behind, and every order must pass.
    isolate: false,
    sequence: { sequencer: LongFirst },
    globalSetup: './test/support/build-first.ts',
    reporters: ['default', './test/support/count-reporter.ts'],
  },
});
