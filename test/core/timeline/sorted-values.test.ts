import fc from 'fast-check';
import { expect, test } from 'vitest';
import { lastNotAfter } from '../../../src/core/timeline/last-not-after.ts';
import { firstAfter, firstNotBefore } from '../../../src/core/timeline/sorted-values.ts';

const ascending = fc
  .array(fc.integer({ min: 0, max: 9 }), { maxLength: 12 })
  .map((list) => list.sort((a, b) => a - b));
const value = fc.integer({ min: -1, max: 10 });

test('halving finds what looking through all finds', () => {
  fc.assert(
    fc.property(ascending, value, (values, wanted) => {
      const before = values.filter((one) => one < wanted).length;
      const notAfter = values.filter((one) => one <= wanted).length;
      expect(firstNotBefore(values, wanted)).toBe(before);
      expect(firstAfter(values, wanted)).toBe(notAfter);
      if (values.length === 0) return;
      const rows = values.map((at) => ({ at }));
      expect(lastNotAfter(rows, 'at', wanted)).toBe(Math.max(0, notAfter - 1));
    }),
    { numRuns: 300 },
  );
});
