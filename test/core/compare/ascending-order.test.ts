import fc from 'fast-check';
import { expect, test } from 'vitest';
import { isAscending, orderOf, placesUpTo } from '../../../src/core/compare/ascending-order.ts';

test('places in the order of their values, equal ones as they stand', () => {
  expect([...placesUpTo(4)]).toEqual([0, 1, 2, 3]);
  expect([...orderOf(Float64Array.of(5, 1, 3, 1, 5, 0))]).toEqual([5, 1, 3, 2, 0, 4]);
  fc.assert(
    fc.property(fc.array(fc.integer({ min: 0, max: 9 }), { maxLength: 40 }), (values) => {
      const expected = values.map((value, n) => ({ value, n })).sort((a, b) => a.value - b.value);
      expect([...orderOf(Float64Array.from(values))]).toEqual(expected.map(({ n }) => n));
    }),
  );
});

test('values ascend where none is below the one before it', () => {
  const ascends = (...values: number[]) => isAscending(Float64Array.from(values));
  expect([
    ascends(),
    ascends(3),
    ascends(1, 1, 2),
    ascends(2, 1),
    ascends(1, 2, 3, 2),
    ascends(0, -1, 5),
  ]).toEqual([true, true, true, false, false, false]);
});
