import fc from 'fast-check';
import { expect, test } from 'vitest';
import { codingOf } from '../../../../src/core/export/stream/coding.ts';
import { evenOutlook, outlookOf } from '../../../../src/core/export/stream/outlook.ts';
import { referencedParts } from '../../../../src/core/export/stream/references.ts';
import {
  choices,
  grown,
  lengthOf,
  type PlainPart,
  partsPicked,
  plainOf,
  sources,
  symbolsIn,
} from './plain-stream.ts';
import { levels, picks, pieces, TABLE } from './song-of-pieces.ts';

const CODING = codingOf(TABLE);
const songAndLevels = pieces(32).chain((song) => fc.tuple(fc.constant(song), levels(song.length)));

test('the outlook: from the end back the fewest bytes, with references to what stands before', () => {
  fc.assert(
    fc.property(songAndLevels, picks, ([song, limits], picked) => {
      const parts = partsPicked(song, TABLE, limits, picked);
      const fewest = new Float64Array(song.length + 1);
      for (let at = song.length - 1; at >= 0; at -= 1) {
        const before = parts.filter((_, part) => symbolsIn(parts.slice(0, part + 1)) <= at);
        const ways = [
          ...[...choices(song, before, TABLE, limits, at)].filter(({ source }) => source === undefined),
          ...sources(song, before, TABLE, limits, at).map(({ part }) => part),
        ];
        fewest[at] = Math.min(...ways.map(({ tree, bytes }) => bytes + fewest[at + plainOf(tree).length]!));
      }
      const outlook = outlookOf(Int32Array.from(song), CODING, grown(parts, CODING), limits);
      expect([...outlook]).toEqual([...fewest]);
    }),
    { numRuns: 80, seed: 13 },
  );
});

test('where nothing is known, a quarter of a byte for each symbol that is left', () => {
  expect([...evenOutlook(3)]).toEqual([0.75, 0.5, 0.25, 0]);
});

/** A part costs its bytes and what the rest then costs. Of equal ones the plainest: a symbol, then a pair. */
const PLAINEST = (part: PlainPart) => (part.source !== undefined ? 2 : part.tree === part.symbol ? 0 : 1);

test('at each place the part is taken that costs least with its outlook, whatever that says', () => {
  fc.assert(
    fc.property(
      songAndLevels,
      fc.array(fc.nat(12), { minLength: 33, maxLength: 33 }),
      fc.boolean(),
      ([song, limits], steps, isEven) => {
        const outlook = Float64Array.from({ length: song.length + 1 }, (_, at) =>
          isEven ? (song.length - at) / 4 : steps[at]! / 2,
        );
        const taken = referencedParts(Int32Array.from(song), CODING, outlook, limits);
        const parts: PlainPart[] = [];
        for (let part = 0; part < taken.count; part += 1) {
          const at = symbolsIn(parts);
          const ways = [
            ...[...choices(song, parts, TABLE, limits)].filter(({ source }) => source === undefined),
            ...sources(song, parts, TABLE, limits, at).map(({ part }) => part),
          ];
          const cost = ({ tree, bytes }: PlainPart) => bytes + outlook[at + plainOf(tree).length]!;
          const least = Math.min(...ways.map(cost));
          const [first] = ways.filter((way) => cost(way) === least);
          const own = ways.find(({ symbol, source, count }) =>
            taken.symbol[part] === -1
              ? source === taken.source[part] && count === taken.length[part]
              : symbol === taken.symbol[part],
          )!;
          expect([cost(own), PLAINEST(own)]).toEqual([least, PLAINEST(first!)]);
          parts.push(own);
        }
        expect(parts.flatMap(({ tree }) => plainOf(tree))).toEqual(song);
        expect(taken.offset[taken.count]).toBe(lengthOf(parts));
      },
    ),
    { numRuns: 80, seed: 13 },
  );
});
