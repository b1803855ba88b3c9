import { describe, expect, test } from 'vitest';
import { encodeTapeBlock, type TapeBlock } from '../../../../src/core/export/tape/tape-block.ts';
import { readTapePasses } from '../../../../src/core/export/tape/tape-passes.ts';

const block = (number: number, total = 2, ...data: number[]): TapeBlock => ({
  number,
  total,
  address: 0x4000 + 16 * number,
  data: Uint8Array.from(data.length > 0 ? data : [1, 2, 3, number]),
});
const BLOCKS = [block(0), block(1), block(2)];

/** Blocks with leader between them; at `hit` the [block, byte] that was not read clearly, and is then another. */
function pass(blocks: readonly TapeBlock[], ...hit: readonly (readonly [number, number])[]) {
  const values: number[] = [];
  const clear: number[] = [];
  for (const [n, one] of blocks.entries()) {
    values.push(0xff, 0x5a, 0xff);
    clear.push(1, 1, 1);
    for (const [at, byte] of encodeTapeBlock(one).entries()) {
      const isHit = hit.some(([which, place]) => which === n && place === at);
      values.push(isHit ? byte ^ 0x10 : byte);
      clear.push(isHit ? 0 : 1);
    }
  }
  return {
    values: Uint8Array.from(values),
    clear: Uint8Array.from(clear),
    seconds: Float64Array.from(values, (_, n) => n / 120),
  };
}
const NOTHING = { blocks: [], total: undefined, missing: [], joined: 0, twofold: [], others: 0 };

test('the bytes of a block as they stand on tape', () => {
  // 5A C3, number, total, address, length, data, CRC-16 of number to data.
  const bytes = encodeTapeBlock({ number: 1, total: 2, address: 0x4123, data: Uint8Array.of(9) });
  expect([...bytes.subarray(0, 8)]).toEqual([0x5a, 0xc3, 1, 2, 0x23, 0x41, 1, 9]);
  expect(bytes).toHaveLength(10);
});

describe('passes over one tape', () => {
  test('one is enough where all is whole; nothing of it twice', () => {
    const whole = { ...NOTHING, blocks: BLOCKS, total: 2 };
    expect(readTapePasses([pass(BLOCKS)])).toEqual(whole);
    expect(readTapePasses([pass(BLOCKS), pass(BLOCKS)])).toEqual(whole);
    expect(readTapePasses([pass([...BLOCKS].reverse())])).toEqual(whole);
  });

  test('none, or none with a block', () => {
    expect(readTapePasses([])).toEqual(NOTHING);
    expect(readTapePasses([pass([])])).toEqual(NOTHING);
  });

  test('a block that is hit is missing; another pass that has it whole gives it', () => {
    const hit = pass(BLOCKS, [1, 8]);
    expect(readTapePasses([hit])).toEqual({
      ...NOTHING,
      blocks: [BLOCKS[0], BLOCKS[2]],
      total: 2,
      missing: [1],
    });
    expect(readTapePasses([hit, pass(BLOCKS, [0, 8])])).toEqual({ ...NOTHING, blocks: BLOCKS, total: 2 });
  });

  test('hit in both at different places it is put together from what was clear; at the same place it is not', () => {
    const joined = { ...NOTHING, blocks: BLOCKS, total: 2, joined: 1 };
    expect(readTapePasses([pass(BLOCKS, [1, 8]), pass(BLOCKS, [1, 9])])).toEqual(joined);
    const missing = readTapePasses([pass(BLOCKS, [1, 8]), pass(BLOCKS, [1, 8], [1, 9])]);
    expect([missing.missing, missing.joined]).toEqual([[1], 0]);
    // A head that cannot be read is nobody's block.
    expect(readTapePasses([pass(BLOCKS, [1, 2]), pass(BLOCKS, [1, 8])]).missing).toEqual([1]);
  });

  test('of clear readings that differ each is tried, four at most', () => {
    const misread = (...places: number[]) => {
      const { values, clear, seconds } = pass(BLOCKS, ...places.map((place) => [1, place] as const));
      return { values, seconds, clear: clear.fill(1) };
    };
    expect(readTapePasses([misread(7), misread(8)])).toMatchObject({ missing: [], joined: 1 });
    expect(readTapePasses([misread(7, 9), misread(8, 10)])).toMatchObject({ missing: [], joined: 1 });
    expect(readTapePasses([misread(7, 9), misread(8, 10, 11)])).toMatchObject({ missing: [1], joined: 0 });
  });

  test('what most blocks say of their number counts; those of another song are passed over', () => {
    const other = block(1, 7);
    expect(readTapePasses([pass([...BLOCKS, other])])).toEqual({
      ...NOTHING,
      blocks: BLOCKS,
      total: 2,
      others: 1,
    });
    // The first would win if all were counted alike.
    expect(readTapePasses([pass([other, ...BLOCKS])])).toEqual({
      ...NOTHING,
      blocks: BLOCKS,
      total: 2,
      others: 1,
    });
  });

  test('two whole blocks of one number that differ: there are two songs', () => {
    const another = [block(2, 2, 9, 9), block(1, 2, 8)];
    expect(readTapePasses([pass(BLOCKS), pass(another)]).twofold).toEqual([1, 2]);
  });

  test('a length that leads behind the end of the recording is no block', () => {
    const { values, clear, seconds } = pass(BLOCKS);
    const cut = { values: values.subarray(0, -1), clear: clear.subarray(0, -1), seconds };
    expect(readTapePasses([cut]).missing).toEqual([2]);
    expect(readTapePasses([cut, cut]).missing).toEqual([2]);
  });
});
