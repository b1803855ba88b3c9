import fc from 'fast-check';
import { expect, test } from 'vitest';
import { codingOf } from '../../../../src/core/export/stream/coding.ts';
import { levelLimits } from '../../../../src/core/export/stream/level-limits.ts';
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
});

test('a source is looked for among a hundred that begin like it, not among hundreds', () => {
  const begin = [1, 2, 3];
  const others = (count: number) => run(1, count).flatMap((n) => [...begin, 0x90, n >> 1, n % 2]);
  const song = (count: number) => [...begin, 4, 5, 6, ...others(count), ...begin, 4, 5, 6];
  const longest = (count: number) => foundAt(song(count), 6 + 6 * count)[0];
  expect(longest(100)).toBe('6: 3');
  expect(longest(300)).toBe('3: 2');
});
