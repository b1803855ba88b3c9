import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['test/**/*.test.ts', 'test/**/*.test.tsx'],
    exclude: ['test/bench/**', 'node_modules/**'],
    testTimeout: 20_000,
    // Half of the tests wait for programs in terminals: one worker more than the two cores of a small machine.
    maxWorkers: 3,
    globalSetup: './test/support/build-first.ts',
    reporters: ['default', './test/support/count-reporter.ts'],
  },
});
