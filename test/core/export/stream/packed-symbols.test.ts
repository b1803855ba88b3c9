import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type Effort, FEW_ROUNDS, packedSymbols } from '../../../../src/core/export/stream/choose-codes.ts';
import {
  type CodeTable,
  codeBytes,
  referenceBytes,
  TABLE_CODES,
  tableBytes,
} from '../../../../src/core/export/stream/code-table.ts';
import { codingOf } from '../../../../src/core/export/stream/coding.ts';
import { levelLimits, MOST_AT_ONCE } from '../../../../src/core/export/stream/level-limits.ts';
import { referencedParts } from '../../../../src/core/export/stream/references.ts';
import { isPair, SongSymbol } from '../../../../src/core/export/stream/song-symbol.ts';
import { DEEPEST, type ReferencedParts } from '../../../../src/core/export/stream/stream-parts.ts';
import { smallestImage } from './smallest-image.ts';
import { pieces } from './song-of-pieces.ts';

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

const packed = (song: readonly number[], effort?: Partial<Effort>) =>
  packedSymbols(
    Int32Array.from(song),
    levelLimits(song.length, MOST_AT_ONCE),
    effort && { ...FEW_ROUNDS, ...effort },
  );

test('small songs: never smaller than the smallest of all tables and streams, and not far from it', () => {
  const found = fc.sample(pieces(17), { numRuns: 30, seed: 4 }).map((song) => {
    const { size, table, parts } = packed(song);
    expect(size).toBe(tableBytes(table) + parts.offset[parts.count]!);
    return { size, smallest: smallestImage(song, 2 * song.length) };
  });
  const sum = (bytes: readonly number[]) => bytes.reduce((all, one) => all + one, 0);
  for (const { size, smallest } of found) expect(size).toBeGreaterThanOrEqual(smallest);
  const [all, least] = [sum(found.map(({ size }) => size)), sum(found.map(({ smallest }) => smallest))];
  expect(all).toBeLessThanOrEqual(1.04 * least);
  const same = found.filter(({ size, smallest }) => size === smallest).length;
  expect(same).toBeGreaterThanOrEqual((2 / 3) * found.length);
});

/** Thirty bars of a few pieces. */
const tunes = fc.sample(pieces(160), { numRuns: 12, seed: 7 });

test('the parts are those that the outlook chooses with the table, and their bytes those of both', () => {
  for (const tune of tunes)
    for (const effort of [
      undefined,
      FEW_ROUNDS,
      { ...FEW_ROUNDS, deciding: 40 },
      { ...FEW_ROUNDS, long: 40 },
    ]) {
      const { table, parts, outlook, size } = packed(tune, effort);
      const limits = levelLimits(tune.length, MOST_AT_ONCE);
      expect(referencedParts(Int32Array.from(tune), codingOf(table), outlook, limits)).toEqual(parts);
      expect(size).toBe(parts.offset[parts.count]! + tableBytes(table));
    }
});

test('more rounds for tables or references never make a song larger, and some songs smaller', () => {
  let gained = 0;
  for (const tune of tunes) {
    const size = (effort: Partial<Effort>) => packed(tune, { polishing: 0, ...effort }).size;
    const sizes = [0, 1, 2, 3, 4].map((settling) => size({ settling }));
    const polished = [0, 1, 2, 3, 4].map((polishing) => size({ polishing }));
    for (const each of [sizes, polished]) {
      expect(each).toEqual(each.toSorted((a, b) => b - a));
      gained += each[0]! - each.at(-1)!;
    }
  }
  expect(gained).toBeGreaterThan(0);
});

test('the first symbols decide on the table of a song, and a long one goes through once', () => {
  const bar = (status: number) => Array.from({ length: 6 }, (_, n) => [status, n, n + 60]).flat();
  const song = [...bar(0x90), ...bar(0x91)];
  expect(packed(song).table.statuses).toEqual([0x90, 0x91]);
  expect(packed(song, { deciding: 18 }).table.statuses).toEqual([0x90]);
  for (const tune of tunes) {
    const size = (effort: Partial<Effort>) => packed(tune, { deciding: 50, ...effort }).size;
    expect(size({ polishing: 4, long: tune.length - 1 })).toBe(size({ polishing: 0 }));
    expect(size({ polishing: 4, long: tune.length })).toBe(size({ polishing: 4 }));
  }
});

test('pairs come in even shares, as many in each round of growing', () => {
  // Sixty pairs, each six times, with something else between any two.
  const order = Array.from({ length: 360 }, (_, n) => (n * 7 + Math.floor(n / 60) * 11) % 60);
  const song = order.flatMap((n, at) => [n, n + 60, 120 + ((at * at) % 7)]);
  const pairs = (growing: number, settling: number) => packed(song, { growing, settling }).table.pairs.length;
  expect(pairs(1, 1)).toBe(60);
  expect(pairs(2, 0)).toBe(TABLE_CODES / 2);
});
