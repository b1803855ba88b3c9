/**
 * What the tests of a mutant import in place of vitest: its own runner and its own `expect`, without the program
 * round them, so that a whole run is one thread that begins and ends in a fraction of a second.
 */
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import {
  ASYMMETRIC_MATCHERS_OBJECT,
  customMatchers,
  GLOBAL_EXPECT,
  getState,
  JestAsymmetricMatchers,
  JestChaiExpect,
  JestExtend,
  setState,
} from '@vitest/expect';
import { fn, spyOn } from '@vitest/spy';
import * as chai from 'chai';
import { testFile } from './test-file.ts';

export {
  afterAll,
  afterEach,
  beforeAll,
  beforeEach,
  describe,
  it,
  onTestFailed,
  onTestFinished,
  suite,
  test,
} from '@vitest/runner';

chai.use(JestExtend);
chai.use(JestChaiExpect);
chai.use(JestAsymmetricMatchers);

const assertion = (value: unknown, message?: string) => chai.expect(value, message);
export const expect = Object.assign(assertion, chai.expect, {
  getState: () => getState(expect as never),
  setState: (state: object) => setState(state, expect as never),
});
const everywhere = globalThis as unknown as Record<symbol, object>;
Object.assign(expect, everywhere[ASYMMETRIC_MATCHERS_OBJECT as unknown as symbol]);
everywhere[GLOBAL_EXPECT as unknown as symbol] = expect;
(chai.util as unknown as { addMethod: (...all: unknown[]) => void }).addMethod(
  expect,
  'extend',
  (matchers: object) =>
    (chai.expect as unknown as { extend: (...all: unknown[]) => void }).extend(expect, matchers),
);
(expect as unknown as { extend: (matchers: object) => void }).extend(customMatchers);

(expect as unknown as { extend: (matchers: object) => void }).extend({
  /** Only compares: a mutant writes no golden screen. @param path from the folder of the test file */
  toMatchFileSnapshot(received: string, path: string) {
    const golden = readFileSync(join(dirname(testFile.name), path), 'utf8');
    return { pass: received === golden, message: () => `differs from ${path}` };
  },
});

/** The part of `vi` that tests of the inner rooms use. */
export const vi = { fn, spyOn, setConfig: () => {} };
