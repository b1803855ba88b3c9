import { expect, test } from 'vitest';
import { counts } from '../../../src/core/compare/growing-column.ts';

test('keeps every number over the edges of its blocks, and may be asked for at any time', () => {
  const column = counts();
  expect(column.whole()).toHaveLength(0);
  const sizes = [1, 16_383, 16_384, 16_385, 40_000];
  for (const size of sizes) {
    while (column.length < size) column.push(3 * column.length);
    const whole = column.whole();
    expect(whole).toHaveLength(size);
    expect(whole.every((value, n) => value === 3 * n)).toBe(true);
  }
  column.set(16_384, 7);
  expect(column.get(16_384)).toBe(7);
  expect(column.whole().subarray(16_383, 16_386)).toEqual(Uint32Array.of(3 * 16_383, 7, 3 * 16_385));
});
