import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { alignStreams, type Matching, pairEqualStreams } from '../../../src/core/compare/align-streams.ts';
import { fillGaps } from '../../../src/core/compare/fill-gaps.ts';
import { heardNotes, type LaidNote, writtenNotes } from './laid-notes.ts';

const TOLERANCE = 1000;

/** What a pair is worth: the nearer, the more; and a thousandth for being one. */
const worth = (away: number) =>
  away < TOLERANCE ? TOLERANCE - away + TOLERANCE / 1000 : Number.NEGATIVE_INFINITY;

/** The most that pairs of one key in order may be worth together: the common table of alignments, from no source. */
function mostWorth(ours: readonly number[], theirs: readonly number[]): number {
  const best = Array.from({ length: ours.length + 1 }, () => new Array<number>(theirs.length + 1).fill(0));
  for (const [n, at] of ours.entries()) {
    for (const [m, other] of theirs.entries()) {
      const paired = best[n]![m]! + worth(Math.abs(at - other));
      best[n + 1]![m + 1] = Math.max(paired, best[n]![m + 1]!, best[n + 1]![m]!);
    }
  }
  return best[ours.length]![theirs.length]!;
}

const timed = fc.array(
  fc.record({ at: fc.integer({ min: 0, max: 9000 }), key: fc.constantFrom(0, 61, 62) }),
  {
    maxLength: 14,
  },
);
const inOrder = (notes: readonly LaidNote[]) => [...notes].sort((a, b) => a.at - b.at);

/** Pairs are told from both sides, of one key, and counted. */
function expectWhole(
  { heardOf, writtenOf, matched }: Matching,
  ours: readonly LaidNote[],
  theirs: readonly LaidNote[],
) {
  expect(heardOf.filter((found) => found >= 0).length).toBe(matched);
  expect(writtenOf.filter((found) => found >= 0).length).toBe(matched);
  for (const [note, found] of heardOf.entries()) {
    if (found < 0) continue;
    expect(writtenOf[found]).toBe(note);
    expect(theirs[found]!.key).toBe(ours[note]!.key);
  }
}

describe('notes of one key laid beside one another', () => {
  test('are worth as much as any pairs in order can be, and none is farther than the tolerance', () => {
    fc.assert(
      fc.property(timed, timed, (a, b) => {
        const [ours, theirs] = [inOrder(a), inOrder(b)];
        const expected = Float64Array.from(ours, ({ at }) => at);
        const found = alignStreams(writtenNotes(ours), heardNotes(theirs), expected, TOLERANCE);
        expectWhole(found, ours, theirs);
        let sum = 0;
        for (const [note, other] of found.heardOf.entries())
          if (other >= 0) sum += worth(Math.abs(ours[note]!.at - theirs[other]!.at));
        const most = [0, 61, 62].reduce((all, key) => {
          const times = (notes: LaidNote[]) => notes.filter((one) => one.key === key).map(({ at }) => at);
          return all + mostWorth(times(ours), times(theirs));
        }, 0);
        expect(sum).toBeCloseTo(most, 6);
      }),
      { numRuns: 300 },
    );
  });

  test('a law under which notes change their order is followed', () => {
    const ours = [
      { at: 0, key: 60 },
      { at: 1000, key: 60 },
    ];
    const theirs = [
      { at: 5000, key: 60 },
      { at: 9000, key: 60 },
    ];
    const found = alignStreams(
      writtenNotes(ours),
      heardNotes(theirs),
      Float64Array.of(9000, 5000),
      TOLERANCE,
    );
    expect([...found.heardOf]).toEqual([1, 0]);
  });

  test('of a trill the nearest are looked at: more strikes than candidates, each finds its own', () => {
    const at = (n: number) => n * 10;
    const theirs = Array.from({ length: 90 }, (_, n) => ({ at: at(n), key: 60 }));
    const ours = [44, 45, 47].map((n) => ({ at: at(n), key: 60 }));
    const expected = Float64Array.from(ours, (one) => one.at);
    const found = alignStreams(writtenNotes(ours), heardNotes(theirs), expected, TOLERANCE);
    expect([...found.heardOf]).toEqual([44, 45, 47]);
  });

  test('of a handful all are looked at, however many stand before the nearest', () => {
    const burst = (from: number) => Array.from({ length: 20 }, (_, n) => ({ at: from + n, key: 60 }));
    const [ours, theirs] = [burst(1000), burst(500)];
    const expected = Float64Array.from(ours, ({ at }) => at);
    const found = alignStreams(writtenNotes(ours), heardNotes(theirs), expected, TOLERANCE);
    expect([...found.heardOf]).toEqual(ours.map((_, n) => n));
  });

  test('however long a stream is', () => {
    const ours = Array.from({ length: 100 }, (_, n) => ({ at: n * 400, key: 60 }));
    const theirs = ours.filter((_, n) => n !== 37).map(({ at, key }) => ({ at: at + 100, key }));
    const expected = Float64Array.from(ours, ({ at }) => at);
    const { heardOf, matched } = alignStreams(writtenNotes(ours), heardNotes(theirs), expected, TOLERANCE);
    expect(matched).toBe(99);
    expect([...heardOf]).toEqual(ours.map((_, n) => (n === 37 ? -1 : n < 37 ? n : n - 1)));
  });
});

describe('streams that are as long on both sides', () => {
  test('are paired in order, in the order given; others are left', () => {
    const ours = [0, 61, 0, 62, 61].map((key, n) => ({ at: n * 1000, key }));
    const theirs = [62, 0, 61, 0].map((key, n) => ({ at: n * 5000, key }));
    const found = pairEqualStreams(writtenNotes(ours), heardNotes(theirs));
    expect([...found.heardOf]).toEqual([1, -1, 3, 0, -1]);
    expectWhole(found, ours, theirs);
    const other = pairEqualStreams(writtenNotes(ours), heardNotes(theirs), Uint32Array.of(4, 3, 2, 1, 0));
    expect([...other.heardOf]).toEqual([3, -1, 1, 0, -1]);
  });
});

describe('gaps between pairs', () => {
  const key = 60;
  const ours = [0, 1000, 2000, 3000, 4000].map((at) => ({ at, key }));
  const expected = Float64Array.from(ours, ({ at }) => at);
  /** @param pairs [written, heard] that are known */
  function filled(heardAt: readonly number[], pairs: readonly (readonly [number, number])[], farthest = 700) {
    const theirs = heardAt.map((at) => ({ at, key }));
    const known = {
      heardOf: new Int32Array(ours.length).fill(-1),
      writtenOf: new Int32Array(theirs.length).fill(-1),
      matched: pairs.length,
    };
    for (const [note, found] of pairs) {
      known.heardOf[note] = found;
      known.writtenOf[found] = note;
    }
    const result = fillGaps(writtenNotes(ours), heardNotes(theirs), known, expected, farthest);
    expectWhole(result, ours, theirs);
    return [...result.heardOf];
  }

  test('as many on both sides are those, as far as the farthest', () => {
    expect(
      filled(
        [0, 1600, 2700, 3000, 4000],
        [
          [0, 0],
          [3, 3],
          [4, 4],
        ],
      ),
    ).toEqual([0, 1, 2, 3, 4]);
    expect(
      filled(
        [0, 1600, 2701, 3000, 4000],
        [
          [0, 0],
          [3, 3],
          [4, 4],
        ],
      ),
    ).toEqual([0, 1, -1, 3, 4]);
  });

  test('one more or less, and nobody knows which', () => {
    expect(
      filled(
        [0, 1600, 3000, 4000],
        [
          [0, 0],
          [3, 2],
          [4, 3],
        ],
      ),
    ).toEqual([0, -1, -1, 2, 3]);
    expect(
      filled(
        [0, 1, 1600, 2000, 3000, 4000],
        [
          [0, 0],
          [3, 4],
          [4, 5],
        ],
      ),
    ).toEqual([0, -1, -1, 4, 5]);
  });

  test('before the first pair and behind the last as well, and where there is none', () => {
    expect(filled([600, 1600, 2000, 3600, 4600], [[2, 2]])).toEqual([0, 1, 2, 3, 4]);
    expect(filled([600, 1600, 2600, 3600, 4600], [])).toEqual([0, 1, 2, 3, 4]);
    expect(filled([600], [])).toEqual([-1, -1, -1, -1, -1]);
  });

  test('each key by itself', () => {
    const both = [
      { at: 0, key: 60 },
      { at: 0, key: 61 },
    ];
    const none = { heardOf: new Int32Array(2).fill(-1), writtenOf: new Int32Array(2).fill(-1), matched: 0 };
    const theirs = heardNotes([
      { at: 5, key: 61 },
      { at: 9, key: 60 },
    ]);
    const found = fillGaps(writtenNotes(both), theirs, none, Float64Array.of(0, 0), 100);
    expect([...found.heardOf]).toEqual([1, 0]);
    expect(found.matched).toBe(2);
  });
});
