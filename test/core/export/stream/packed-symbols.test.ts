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
import { evenOutlook, outlookOf } from '../../../../src/core/export/stream/outlook.ts';
import { referencedParts } from '../../../../src/core/export/stream/references.ts';
import { isPair, SongSymbol } from '../../../../src/core/export/stream/song-symbol.ts';
import { DEEPEST, type ReferencedParts } from '../../../../src/core/export/stream/stream-parts.ts';
import { seeded } from '../../../support/seeded.ts';
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
    { numRuns: 30, seed: 13 },
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
  const found = fc.sample(pieces(16), { numRuns: 24, seed: 4 }).map((song) => {
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

/** Phrases of phrases, in which now and then something is another. */
const tunes = [1, 2, 3, 4].map((seed) => {
  const chance = seeded(seed);
  const nat = (below: number) => Math.floor(chance() * below);
  const symbol = () => [nat(20) + 50, 0x90 + nat(3), SongSymbol.wait + 1 + nat(6), 64, nat(128)][nat(5)]!;
  let phrases = Array.from({ length: 12 }, () => Array.from({ length: 3 + nat(4) }, symbol));
  for (let times = 0; times < 3; times += 1)
    phrases = phrases.map(() =>
      [...phrases[nat(12)]!, ...phrases[nat(12)]!].map((one) => (chance() < 0.03 ? nat(128) : one)),
    );
  return phrases.flat().slice(0, 350);
});
const sumOf = (size: (tune: readonly number[]) => number) => tunes.reduce((sum, tune) => sum + size(tune), 0);

test('the parts are those that the outlook chooses with the table, and their bytes those of both', () => {
  for (const tune of tunes)
    for (const effort of [undefined, FEW_ROUNDS, { deciding: 100 }, { long: 100 }]) {
      const { table, parts, outlook, size } = packed(tune, effort);
      const limits = levelLimits(tune.length, MOST_AT_ONCE);
      expect(referencedParts(Int32Array.from(tune), codingOf(table), outlook, limits)).toEqual(parts);
      expect(size).toBe(parts.offset[parts.count]! + tableBytes(table));
    }
});

test('more rounds never make a song larger, and some songs smaller', () => {
  const sizes = (efforts: readonly Partial<Effort>[]) =>
    tunes.map((tune) => efforts.map((effort) => packed(tune, { polishing: 0, ...effort }).size));
  const settled = sizes([0, 1, 2, 3].map((settling) => ({ settling })));
  const polished = sizes([0, 1, 2, 3].map((polishing) => ({ polishing })));
  for (const each of [...settled, ...polished]) expect(each).toEqual(each.toSorted((a, b) => b - a));
  for (const all of [settled, polished])
    expect(all.some((each) => each[0]! > each[1]! && each[1]! > each[2]!)).toBe(true);
  // All that there is to spend, against a few rounds.
  expect(sumOf((tune) => packed(tune).size)).toBeLessThan(sumOf((tune) => packed(tune, {}).size));
});

test('a song that decides on its table itself is not packed anew without an outlook', () => {
  const even = sumOf((tune) => {
    const { table } = packed(tune, { polishing: 0 });
    const limits = levelLimits(tune.length, MOST_AT_ONCE);
    const parts = referencedParts(Int32Array.from(tune), codingOf(table), evenOutlook(tune.length), limits);
    return parts.offset[parts.count]! + tableBytes(table);
  });
  expect(sumOf((tune) => packed(tune, { polishing: 0 }).size)).toBeLessThan(0.95 * even);
});

test('the first symbols decide on the table; then each round chooses by the outlook of the round before', () => {
  const bar = (status: number) => Array.from({ length: 6 }, (_, n) => [status, n, n + 60]).flat();
  expect(packed([...bar(0x90), ...bar(0x91)]).table.statuses).toEqual([0x90, 0x91]);
  expect(packed([...bar(0x90), ...bar(0x91)], { deciding: 18 }).table.statuses).toEqual([0x90]);
  for (const tune of tunes) {
    const symbols = Int32Array.from(tune);
    const limits = levelLimits(tune.length, MOST_AT_ONCE);
    const { table } = packed(tune.slice(0, 150), { polishing: 0 });
    const coding = codingOf(table);
    let outlook = evenOutlook(tune.length);
    const sizes = [0, 1, 2].map(() => {
      const parts = referencedParts(symbols, coding, outlook, limits);
      outlook = outlookOf(symbols, coding, parts, limits);
      return parts.offset[parts.count]! + tableBytes(table);
    });
    for (const polishing of [0, 1, 2]) {
      const best = Math.min(...sizes.slice(0, polishing + 1));
      const size = (long: number) => packed(tune, { deciding: 150, polishing, long }).size;
      expect([polishing, size(tune.length)]).toEqual([polishing, best]);
      // A long song goes through once.
      expect(size(tune.length - 1)).toBe(sizes[0]);
    }
    expect(sizes[1]).toBeLessThan(sizes[0]!);
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
