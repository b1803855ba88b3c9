import fc from 'fast-check';
import { expect, test } from 'vitest';
import { packedSymbols } from '../../../../src/core/export/stream/choose-codes.ts';
import { type CodeTable, codeBytes, referenceBytes } from '../../../../src/core/export/stream/code-table.ts';
import { levelLimits, MOST_AT_ONCE } from '../../../../src/core/export/stream/level-limits.ts';
import { isPair, SongSymbol } from '../../../../src/core/export/stream/song-symbol.ts';
import { DEEPEST, type ReferencedParts } from '../../../../src/core/export/stream/stream-parts.ts';

/** A piece of a song over and over with something changed: data, status bytes, waits. */
const symbol = fc.oneof(
  fc.nat(0x7f),
  fc.integer({ min: 0x80, max: 0xff }),
  fc.integer({ min: SongSymbol.wait + 1, max: SongSymbol.wait + 255 }),
);
const song = fc
  .tuple(
    fc.array(symbol, { minLength: 1, maxLength: 40 }),
    fc.array(fc.tuple(fc.nat(39), symbol), { maxLength: 30 }),
  )
  .map(([bar, changes]) => {
    const all: number[] = [...bar];
    for (const [at, other] of changes) all.push(...bar.with(at % bar.length, other));
    return Int32Array.from(all);
  });

/** What the parts stand for, and how deep in one another references and pairs are. */
function expanded({ pairs }: CodeTable, { symbol, source, length, count }: ReferencedParts) {
  const symbols: number[] = [];
  let deepest = 0;
  const put = (part: number, deep: number): void => {
    deepest = Math.max(deepest, deep);
    if (symbol[part]! >= 0) putSymbol(symbol[part]!, deep);
    else for (let at = 0; at < length[part]!; at += 1) put(source[part]! + at, deep + 1);
  };
  const putSymbol = (one: number, deep: number): void => {
    deepest = Math.max(deepest, deep);
    if (!isPair(one)) symbols.push(one);
    else for (const each of pairs[one - SongSymbol.pair]!) putSymbol(each, deep + 1);
  };
  for (let part = 0; part < count; part += 1) put(part, 0);
  return { symbols, deepest };
}

test('packed symbols stand for the same, no deeper than the stack, and as long as they say', () => {
  fc.assert(
    fc.property(song, (symbols) => {
      const { table, parts } = packedSymbols(symbols, levelLimits(symbols.length, MOST_AT_ONCE));
      const found = expanded(table, parts);
      expect(found.symbols).toEqual([...symbols]);
      expect(found.deepest).toBeLessThanOrEqual(DEEPEST);
      for (let part = 0; part < parts.count; part += 1) {
        const bytes = parts.offset[part + 1]! - parts.offset[part]!;
        if (parts.symbol[part]! >= 0) {
          expect(codeBytes(table, parts.symbol[part]!)).toHaveLength(bytes);
          continue;
        }
        // What is referred to stands before it, whole.
        expect(parts.source[part]! + parts.length[part]!).toBeLessThanOrEqual(part);
        expect(parts.length[part]!).toBeLessThanOrEqual(255);
        const back = parts.offset[part]! - parts.offset[parts.source[part]!]!;
        expect(referenceBytes(back, parts.length[part]!)).toBe(bytes);
      }
      for (const pair of table.pairs) for (const one of pair) expect(codeBytes(table, one)).toHaveLength(1);
    }),
    { numRuns: 60, seed: 13 },
  );
});

test('what is there once has no code, what is there often has, and a bar again costs a reference', () => {
  const bar = Array.from({ length: 60 }, (_, at) => (at % 3 === 0 ? 0x101 : (at * 7) % 128));
  const symbols = Int32Array.from([0xc3, ...bar, 0x90, 1, 0x90, 2, 0x90, 3, ...bar]);
  const { table, parts } = packedSymbols(symbols, levelLimits(symbols.length, MOST_AT_ONCE));
  expect(table.statuses).toEqual([0x90]);
  expect(codeBytes(table, 0xc3)).toEqual([0x80, 0xc3]);
  expect(table.waits).toEqual([1]);
  const last = parts.offset[parts.count]! - parts.offset[parts.count - 1]!;
  expect(parts.symbol[parts.count - 1]).toBe(-1);
  expect(last).toBeLessThanOrEqual(4);
});
