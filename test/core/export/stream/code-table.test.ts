import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  codeBytes,
  codeTable,
  referenceBytes,
  referenceCode,
  tableBytes,
} from '../../../../src/core/export/stream/code-table.ts';
import { SongSymbol } from '../../../../src/core/export/stream/song-symbol.ts';

/** docs/stream.md: R, the first code that is a reference. */
const R = 0xe0;
const TABLE = codeTable([12, 255], [0x90, 0x99, 0xf8], [[60, 64]]);

test('the codes of the tables: waits from 82 on, status bytes end below the references, pairs below these', () => {
  expect([TABLE.firstStatus, TABLE.firstPair]).toEqual([R - 3, R - 4]);
  const wait = (steps: number) => SongSymbol.wait + steps;
  expect(
    [
      0,
      0x7f,
      wait(12),
      wait(255),
      wait(13),
      0x90,
      0x99,
      0xf8,
      0x80,
      0xff,
      SongSymbol.pair,
      SongSymbol.end,
    ].map((symbol) => codeBytes(TABLE, symbol)),
  ).toEqual([
    [0],
    [0x7f],
    [0x82],
    [0x83],
    [0x81, 13],
    [R - 3],
    [R - 2],
    [R - 1],
    [0x80, 0x80],
    [0x80, 0xff],
    [R - 4],
    [0x80, 0],
  ]);
  // A byte for each wait and status byte, two for a pair.
  expect(tableBytes(TABLE)).toBe(2 + 3 + 2);
  expect(tableBytes(codeTable([], [], [...TABLE.pairs, [1, 2], [3, 4]]))).toBe(6);
});

/** A reference as docs/stream.md has it: what it names, and how many symbols. */
function readReference(at: number, bytes: readonly number[]): readonly [number, number] {
  const [code, ...rest] = bytes as [number, ...number[]];
  if (code >= R + 8)
    return [at + 2 - (256 * (128 - Math.floor(code / 2)) - rest[0]!), code % 2 === 1 ? 3 : 2];
  const [count, low, high] =
    code === R + 7 ? (rest as [number, number, number]) : [code - R + 2, ...(rest as [number, number])];
  return [low + 256 * high, count];
}

test('a reference names what it was made of, in as few bytes as there are for it', () => {
  // References of two bytes: those of docs/stream.md, R + 8 to FF with any byte behind.
  const shortest = Math.min(...[0, 255].map((low) => readReference(0x4000, [R + 8, low])[0]));
  const reach = 0x4000 - shortest;
  const back = fc.oneof(fc.integer({ min: 1, max: 0x4000 }), fc.integer({ min: reach - 2, max: reach + 2 }));
  fc.assert(
    fc.property(
      fc.integer({ min: 0x4000, max: 0xffff }),
      back,
      fc.integer({ min: 1, max: 255 }),
      (at, back, count) => {
        const bytes = referenceCode(at, at - back, count);
        expect(readReference(at, bytes)).toEqual([at - back, count]);
        expect(bytes.every((byte) => byte >= 0 && byte <= 0xff)).toBe(true);
        const isNear = (count === 2 || count === 3) && back <= reach;
        expect(bytes).toHaveLength(isNear ? 2 : count >= 2 && count <= 8 ? 3 : 4);
        expect(referenceBytes(back, count)).toBe(bytes.length);
      },
    ),
    { numRuns: 500 },
  );
  for (const count of [1, 2, 3, 4, 8, 9, 255])
    for (const back of [1, 2, 254, 255, 256, 511, reach, reach + 1])
      expect(readReference(0x5000, referenceCode(0x5000, 0x5000 - back, count))).toEqual([
        0x5000 - back,
        count,
      ]);
});
