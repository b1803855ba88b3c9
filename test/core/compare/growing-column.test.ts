import { expect, test } from 'vitest';
import { bytes, counts, GrowingColumn, numbers } from '../../../src/core/compare/growing-column.ts';

const BLOCK = 16_384;

test('keeps every number over the edges of its blocks, and may be asked for at any time', () => {
  const column = counts();
  expect(column.whole()).toHaveLength(0);
  const sizes = [1, BLOCK - 1, BLOCK, BLOCK + 1, 40_000];
  for (const size of sizes) {
    while (column.length < size) column.push(3 * column.length);
    const whole = column.whole();
    expect(whole).toHaveLength(size);
    expect(whole.every((value, n) => value === 3 * n)).toBe(true);
  }
  column.set(BLOCK, 7);
  expect([column.get(BLOCK - 1), column.get(BLOCK), column.get(BLOCK + 1)]).toEqual([
    3 * (BLOCK - 1),
    7,
    3 * (BLOCK + 1),
  ]);
  expect(column.whole().subarray(BLOCK - 1, BLOCK + 2)).toEqual(
    Uint32Array.of(3 * (BLOCK - 1), 7, 3 * (BLOCK + 1)),
  );
});

test('a short column takes little room, and one of a whole block no more than that', () => {
  const made: number[] = [];
  const column = new GrowingColumn((length) => {
    made.push(length);
    return new Float64Array(length);
  });
  for (let n = 0; n < 65; n += 1) column.push(n / 2);
  expect(made).toEqual([64, 128]);
  expect([...column.whole()]).toEqual(Array.from({ length: 65 }, (_, n) => n / 2));
  while (column.length < BLOCK) column.push(column.length / 2);
  expect(made).toEqual([64, 128, 256, 512, 1024, 2048, 4096, 8192, BLOCK]);
  expect(column.whole()).toHaveLength(BLOCK);
  expect(made).toHaveLength(9);
});

test('gives back whole blocks that stand before a place, once, and no others', () => {
  const made: number[] = [];
  const column = new GrowingColumn((length) => {
    made.push(length);
    return new Uint8Array(length);
  });
  for (let n = 0; n < 3 * BLOCK + 1; n += 1) column.push(n % 100);
  expect(made.splice(0).slice(-4)).toEqual([BLOCK, BLOCK, BLOCK, BLOCK]);
  column.forget(BLOCK - 1);
  expect(made).toEqual([]);
  column.forget(2 * BLOCK);
  expect(made).toEqual([0, 0]);
  expect([column.get(2 * BLOCK), column.get(3 * BLOCK)]).toEqual([(2 * BLOCK) % 100, (3 * BLOCK) % 100]);
  column.forget(3 * BLOCK);
  expect(made).toEqual([0, 0, 0]);
  column.push(5);
  expect([column.length, column.get(3 * BLOCK + 1)]).toEqual([3 * BLOCK + 2, 5]);
});

test('a number takes no more room than its kind needs', () => {
  expect([bytes(), counts(), numbers()].map((column) => column.whole().BYTES_PER_ELEMENT)).toEqual([1, 4, 8]);
});
