import { createHash } from 'node:crypto';
import { expect, test } from 'vitest';
import { loopPattern } from '../../../src/core/loop/loop-pattern.ts';
import type { LoopPlan } from '../../../src/core/loop/loop-plan.ts';

const PLANS: readonly LoopPlan[] = [false, true].flatMap((quiet) =>
  [false, true].map((whole) => ({ quiet, whole, rounds: 2 })),
);
/** Digests (SHA-256, their beginnings) of each plan's steps. */
const DIGESTS = ['f534e73e427fdae4', 'cf58e2f0420b4507', 'f7d9145f7150d9fc', 'b833407d585a773d'];

test('what is sent is the same in every release: the end that hears may have another one', () => {
  const digest = (plan: LoopPlan) =>
    createHash('sha256')
      .update(JSON.stringify(loopPattern(plan).steps))
      .digest('hex')
      .slice(0, 16);
  expect(PLANS.map(digest)).toEqual(DIGESTS);
});
