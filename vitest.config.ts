import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['test/**/*.test.ts', 'test/**/*.test.tsx'],
    exclude: ['test/bench/**', 'node_modules/**'],
    testTimeout: 20_000,
    // Half of the tests wait for programs in terminals: one worker more than the two cores of a small machine.
    maxWorkers: 3,
    // A fresh process and fresh modules for each of 136 files would be a fifth of all the work; no file mocks a
    // module or leaves anything behind, and every order must pass.
    isolate: false,
    globalSetup: './test/support/build-first.ts',
    reporters: ['default', './test/support/count-reporter.ts'],
  },
});
