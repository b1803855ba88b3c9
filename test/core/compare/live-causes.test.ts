import { expect, test } from 'vitest';
import type { CauseCode } from '../../../src/core/compare/cause.ts';
import type { ComparisonDocument } from '../../../src/core/compare/comparison-document.ts';
import { CausesSeen } from '../../../src/core/compare/live-causes.ts';

const look = (heard: number, ...codes: readonly CauseCode[]) =>
  ({ notes: { heard }, causes: codes.map((code) => ({ code })) }) as unknown as ComparisonDocument;
/** What is sure at the second of two looks that see a cause. */
const sure = (code: CauseCode, heard: number, before = 0) => {
  const seen = new CausesSeen();
  seen.sure(look(heard, code), before);
  return seen.sure(look(heard, code), before).length === 1;
};

test('a cause is sure at the second look on end', () => {
  const seen = new CausesSeen();
  const codes = (...some: readonly CauseCode[]) => seen.sure(look(100, ...some), 0).map(({ code }) => code);
  expect(codes('bytes-lost')).toEqual([]);
  expect(seen.isSeen('bytes-lost')).toBe(false);
  expect(codes('bytes-lost', 'velocity-zero')).toEqual(['bytes-lost']);
  expect([seen.isSeen('bytes-lost'), seen.isSeen('velocity-zero')]).toEqual([true, false]);
  expect(codes('bytes-lost', 'velocity-zero')).toEqual(['bytes-lost', 'velocity-zero']);
  expect(codes('velocity-zero')).toEqual(['velocity-zero']);
  // Gone once, it begins anew.
  expect(codes('bytes-lost')).toEqual([]);
  expect(codes('bytes-lost')).toEqual(['bytes-lost']);
});

test('by twelve notes, those before included; by 24 where it is read from fine differences of time', () => {
  expect([sure('bytes-lost', 11), sure('bytes-lost', 12), sure('bytes-lost', 4, 8)]).toEqual([
    false,
    true,
    true,
  ]);
  for (const fine of ['clock-rate', 'slow-chords', 'slow-adds-up'] as const)
    expect([sure(fine, 23), sure(fine, 24), sure(fine, 4, 19), sure(fine, 4, 20)]).toEqual([
      false,
      true,
      false,
      true,
    ]);
  expect(sure('tempo-ignored', 12)).toBe(true);
});

test('a SysEx without its end is one at once', () => {
  expect(new CausesSeen().sure(look(0, 'sysex-unended', 'bytes-lost'), 0)).toEqual([
    { code: 'sysex-unended' },
  ]);
});
