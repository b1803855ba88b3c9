import fc from 'fast-check';
import { expect, test } from 'vitest';
import { codingOf } from '../../../../src/core/export/stream/coding.ts';
import { deepestOf, entriesOf, exitsOf, grown, lengthOf, partsPicked, symbolsIn } from './plain-stream.ts';
import { levels, picks, pieces, TABLE } from './song-of-pieces.ts';

test('parts written one by one know what they stand for, where their bytes begin and how deep they go', () => {
  fc.assert(
    fc.property(
      pieces(40).chain((song) => fc.tuple(fc.constant(song), levels(song.length))),
      picks,
      ([song, limits], picked) => {
        const parts = partsPicked(song, TABLE, limits, picked);
        const { count, symbol, source, length, offset, raw, depth, entries, exits } = grown(
          parts,
          codingOf(TABLE),
        );
        expect(count).toBe(parts.length);
        for (const [at, part] of parts.entries()) {
          expect([symbol[at], source[at], length[at]]).toEqual([
            part.symbol ?? -1,
            part.source ?? 0,
            part.count ?? 0,
          ]);
          expect([depth[at], entries[at], exits[at]]).toEqual([
            deepestOf(part.tree),
            entriesOf(part.tree),
            exitsOf(part.tree),
          ]);
        }
        expect([...raw.subarray(0, count + 1)]).toEqual(
          [...parts.keys(), count].map((at) => symbolsIn(parts.slice(0, at))),
        );
        expect([...offset.subarray(0, count + 1)]).toEqual(
          [...parts.keys(), count].map((at) => lengthOf(parts.slice(0, at))),
        );
      },
    ),
    { numRuns: 60, seed: 13 },
  );
});
