import type { Reporter, TestModule } from 'vitest/node';
import { leftBehind } from './temp-root.ts';

/**
 * Prints one plain closing line, counted from the runner's own results: `N passed, N failed[, N skipped]`.
 * A folder that a test left behind is a failure too.
 */
export default class CountReporter implements Reporter {
  onTestRunEnd(modules: readonly TestModule[], unhandledErrors: readonly unknown[]): void {
    let passed = 0;
    let failed = unhandledErrors.length;
    let skipped = 0;
    for (const module of modules) {
      failed += module.errors().length; // a file that does not even load has no tests to fail
      for (const test of module.children.allTests()) {
        const { state } = test.result();
        if (state === 'passed') passed += 1;
        else if (state === 'failed') failed += 1;
        else skipped += 1;
      }
    }
    for (const name of leftBehind()) {
      failed += 1;
      process.exitCode = 1;
      process.stdout.write(`left behind in the temporary folder: ${name}\n`);
    }
    process.stdout.write(`${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ''}\n`);
  }
}
