import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { codingOf } from '../../../../src/core/export/stream/coding.ts';
import { levelLimits } from '../../../../src/core/export/stream/level-limits.ts';
import { SongSymbol } from '../../../../src/core/export/stream/song-symbol.ts';
import { SourceSearch } from '../../../../src/core/export/stream/source-search.ts';
import { GrowingParts } from '../../../../src/core/export/stream/stream-parts.ts';
import { grown, partsPicked, sources, symbolsIn } from './plain-stream.ts';
import { levels, picks, pieces, TABLE } from './song-of-pieces.ts';

const CODING = codingOf(TABLE);

test('at any place: for each number of symbols the shortest reference, the nearest of those, where it saves a byte', () => {
  fc.assert(
    fc.property(
      pieces(40).chain((song) => fc.tuple(fc.constant(song), levels(song.length))),
      picks,
      fc.nat(40),
      fc.nat(40),
      ([song, limits], picked, more, back) => {
        const all = partsPicked(song, TABLE, limits, picked);
        const search = new SourceSearch(Int32Array.from(song), CODING, grown(all, CODING), limits);
        for (const part of all.keys()) search.add(part);
        const known = Math.max(0, all.length - (back % all.length));
        for (let part = all.length - 1; part >= known; part -= 1) search.forget(part);
        const parts = all.slice(0, known);
        const at = Math.min(song.length - 1, symbolsIn(parts) + (more % 4));
        const expected = sources(song, parts, TABLE, limits, at).map(({ length, part }) => [
          length,
          part.source,
          part.count,
          part.bytes,
        ]);
        // What was found before does not matter.
        search.at(Math.floor(at / 2));
        const found = search.at(at);
        expect(
          Array.from({ length: found.count }, (_, n) => [
            found.length[n],
            found.source[n],
            found.parts[n],
            found.bytes[n],
          ]),
        ).toEqual(expected);
      },
    ),
    { numRuns: 150, seed: 13 },
  );
});

/** Literals of a song, all of them known, and what is found at a place behind. */
function foundAt(song: readonly number[], known: number) {
  const symbols = Int32Array.from(song);
  const parts = new GrowingParts(known);
  const search = new SourceSearch(symbols, CODING, parts, levelLimits(song.length, 9));
  for (let part = 0; part < known; part += 1) {
    parts.literal(song[part]!, 1);
    search.add(part);
  }
  const { count, length, bytes } = search.at(known);
  return Array.from({ length: count }, (_, n) => `${length[n]}: ${bytes[n]}`);
}
const run = (from: number, to: number) => Array.from({ length: to - from + 1 }, (_, n) => from + n);

test('80 symbols again: what is shorter than 64 is told too, where it costs no less', () => {
  const song = run(1, 80);
  expect(foundAt([...song, ...song], 80)).toEqual([
    '80: 4',
    ...run(9, 63)
      .map((length) => `${length}: 4`)
      .reverse(),
    ...['8: 3', '7: 3', '6: 3', '5: 3', '4: 3', '3: 2'],
  ]);
});

test('of 300 parts that come again 255 go into one reference: the number of parts is a byte', () => {
  const song = Array.from({ length: 300 }, (_, at) => (at % 2 === 0 ? at >> 2 : 127 - (at >> 3)));
  expect(foundAt([...song, ...song], 300)[0]).toBe('255: 4');
});

test('a reference of 500 symbols is taken as it is, and no more than 2000 are compared', () => {
  const bar = run(1, 50);
  const song = Array.from({ length: 100 }, () => bar).flat();
  const parts = new GrowingParts(200);
  const newSearch = () => new SourceSearch(Int32Array.from(song), CODING, parts, levelLimits(song.length, 9));
  for (const symbol of bar) parts.literal(symbol, 1);
  for (let bars = 1; bars < 50; bars += 1) parts.reference(0, 50);
  const longest = (search: SourceSearch) => Math.max(...search.at(2500).length);
  const all = newSearch();
  for (let part = 0; part < parts.count; part += 1) all.add(part);
  expect(longest(all)).toBe(500);
  // With the first place and the last bar alone there are 50 symbols, and then all of them.
  const few = newSearch();
  few.add(0);
  few.add(parts.count - 1);
  expect(longest(few)).toBe(2000);
  const { source, parts: named } = few.at(2500);
  expect([source[0], named[0]]).toEqual([0, 50 + 39]);
});

describe('a source', () => {
  const begin = [1, 2, 3];
  /** Begins and ends alike; between them so many places that begin like it, and go on otherwise. */
  const song = (count: number) => [
    ...begin,
    ...[4, 5, 6],
    ...run(1, count).flatMap((n) => [...begin, 0x90, n >> 1, n % 2]),
    ...begin,
    ...[4, 5, 6],
  ];

  test('is looked for among a hundred that begin like it, not among hundreds', () => {
    const longest = (count: number) => foundAt(song(count), 6 + 6 * count)[0];
    expect(longest(100)).toBe('6: 3');
    expect(longest(300)).toBe('3: 2');
  });

  test('that is forgotten is not looked at', () => {
    const all = song(300);
    const parts = new GrowingParts(all.length);
    const search = new SourceSearch(Int32Array.from(all), CODING, parts, levelLimits(all.length, 9));
    for (const [part, symbol] of all.slice(0, -6).entries()) {
      parts.literal(symbol, 1);
      search.add(part);
    }
    for (let part = parts.count - 1; part >= 6 + 6 * 100; part -= 1) search.forget(part);
    expect(search.at(all.length - 6).length[0]).toBe(6);
  });

  test('is found by three symbols that are the same, not by two', () => {
    const wide = [0xb3, SongSymbol.wait + 9];
    expect(foundAt([...wide, 60, ...wide, 64], 3)).toEqual([]);
    expect(foundAt([...wide, 60, ...wide, 60], 3)).toEqual(['3: 2', '2: 2']);
  });

  test('may be one part that is a reference itself: the nearest of those that cost the same', () => {
    const bar = run(1, 12);
    const parts = new GrowingParts(20);
    const song = [...bar, ...bar, ...bar];
    const search = new SourceSearch(Int32Array.from(song), CODING, parts, levelLimits(song.length, 9));
    for (const symbol of bar) parts.literal(symbol, 1);
    parts.reference(0, 12);
    for (let part = 0; part < parts.count; part += 1) search.add(part);
    const { length, source, parts: named, bytes } = search.at(24);
    expect([length[0], source[0], named[0], bytes[0]]).toEqual([12, 12, 1, 4]);
  });

  test('is within twelve pages for two bytes', () => {
    const wide = [0xb3, SongSymbol.wait + 9, 0xb3];
    const filler = Array.from({ length: 3_100 }, (_, n) => [n & 0x7f, n >> 7, 100]).flat();
    const found = (back: number) => {
      const song = [...filler.slice(0, 20), ...wide, ...filler.slice(0, back - 6), ...wide];
      const parts = new GrowingParts(song.length);
      const search = new SourceSearch(Int32Array.from(song), CODING, parts, levelLimits(song.length, 9));
      for (const [part, symbol] of song.slice(0, -3).entries()) {
        parts.literal(symbol, CODING.bytesOf(symbol));
        search.add(part);
      }
      return search.at(song.length - 3).bytes[0];
    };
    expect([3_070, 3_071].map(found)).toEqual([2, 3]);
  });

  test('goes no deeper than seven with the reference to it: eight is what a player holds', () => {
    // 1 2 3, the three again and 4, these again and 5, and so on: each a level deeper than the one before.
    const longest = (deep: number) => {
      const parts = new GrowingParts(40);
      const song = run(1, 3);
      for (const symbol of song) parts.literal(symbol, 1);
      let last = song;
      for (let level = 1; level <= deep; level += 1) {
        parts.reference(level === 1 ? 0 : parts.count - 2, level === 1 ? 3 : 2);
        parts.literal(3 + level, 1);
        last = [...last, 3 + level];
        song.push(...last);
      }
      const symbols = Int32Array.from([...song, ...last]);
      const search = new SourceSearch(symbols, CODING, parts, levelLimits(symbols.length, 20));
      for (let part = 0; part < parts.count; part += 1) search.add(part);
      return [search.at(song.length).length[0], last.length];
    };
    expect(longest(6)).toEqual([9, 9]);
    expect(longest(7)[0]).toBeLessThan(10);
  });
});
