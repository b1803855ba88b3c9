import { describe, expect, test } from 'vitest';
import type { HeardMusic } from '../../../src/core/compare/heard-music.ts';
import { matchedAs } from '../../../src/core/compare/matched-as.ts';
import { noteStreams } from '../../../src/core/compare/note-streams.ts';
import {
  differences,
  fewestDifferences,
  isOtherVelocity,
} from '../../../src/core/compare/unexplained-notes.ts';
import { heardNotes, type LaidNote, writtenNotes } from './laid-notes.ts';

const key = (key: number, some: Partial<LaidNote> = {}): LaidNote => ({ at: 0, key, ...some });

test('notes of each channel and key, in order, or in the order that is given', () => {
  const notes = [key(127, { channel: 15 }), key(0), key(60), key(0), key(0, { channel: 1 }), key(60)];
  const { start, notes: order } = noteStreams(writtenNotes(notes.map((note, at) => ({ ...note, at }))));
  const stream = (channel: number, number: number) => {
    const place = channel * 128 + number;
    return [...order.subarray(start[place]!, start[place + 1]!)];
  };
  expect([stream(0, 0), stream(0, 60), stream(1, 0), stream(15, 127), stream(0, 1)]).toEqual([
    [1, 3],
    [2, 5],
    [4],
    [0],
    [],
  ]);
  expect([start[0], start[2047], start[2048], start.length]).toEqual([0, 5, 6, 2049]);
  const turned = noteStreams(heardNotes(notes), Uint32Array.of(5, 4, 3, 2, 1, 0));
  expect([...turned.notes]).toEqual([3, 1, 5, 2, 4, 0]);
});

describe('what is left unexplained', () => {
  const song = [key(60), key(61), key(62), key(63)];
  const matching = (heardOf: readonly number[], count: number) => ({
    heardOf: Int32Array.from(heardOf),
    writtenOf: new Int32Array(count),
    matched: heardOf.filter((found) => found >= 0).length,
  });

  test('is what is missing, what is added, and what came as loud as another', () => {
    const heard = [key(60, { velocity: 9 }), key(61), key(99)];
    const written = writtenNotes(song);
    expect(differences(written, heardNotes(heard), matching([0, 1, -1, -1], 3))).toBe(2 + 1 + 1);
    expect(differences(written, heardNotes(song), matching([0, 1, 2, 3], 4))).toBe(0);
    expect(differences(written, heardNotes([]), matching([-1, -1, -1, -1], 0))).toBe(4);
    const other = (note: number) =>
      isOtherVelocity(written, heardNotes(heard), Int32Array.of(0, 1, -1, -1), note);
    expect([0, 1, 2].map(other)).toEqual([true, false, false]);
  });

  test('and at least what one side has more of', () => {
    const fewest = (ours: readonly LaidNote[], theirs: readonly LaidNote[]) =>
      fewestDifferences(writtenNotes(ours), heardNotes(theirs));
    expect(fewest(song, song)).toBe(0);
    expect(fewest([key(60), key(60), key(61)], [key(60), key(62), key(62)])).toBe(1 + 1 + 2);
    expect(fewest([key(0), key(127, { channel: 15 })], [])).toBe(2);
    expect(fewest([key(60)], [key(60, { channel: 1 })])).toBe(2);
  });
});

test('where it is known which note is which, the song’s own time holds', () => {
  const song = Array.from({ length: 20 }, (_, n): LaidNote => ({ at: n * 500_000, key: 40 + n }));
  const heard = [
    { at: 0, key: 99 },
    ...song.slice(1).map(({ at, key: of }) => ({ at: at * 1.01 + 7000, key: of })),
  ];
  const on = heardNotes(heard);
  const writtenOf = Int32Array.from(heard, (_, n) => (n === 0 ? -1 : n));
  const found = matchedAs(writtenNotes(song), { on } as HeardMusic, writtenOf);
  expect(found.law).toBe('tempo-map');
  expect(found.matching.matched).toBe(19);
  expect([...found.matching.heardOf]).toEqual(song.map((_, n) => (n === 0 ? -1 : n)));
  expect(found.matching.writtenOf).toBe(writtenOf);
  expect(found.line.rate).toBeCloseTo(1.01, 9);
  expect([...found.times]).toEqual(song.map(({ at }) => at));
  for (const [n, at] of found.expected.entries()) expect(at).toBeCloseTo(song[n]!.at * 1.01 + 7000, 1);
  const first = matchedAs(
    writtenNotes(song),
    { on: heardNotes(song.slice(0, 2)) } as HeardMusic,
    Int32Array.of(0, 1),
  );
  expect([...first.matching.heardOf.subarray(0, 3), first.matching.matched]).toEqual([0, 1, -1, 2]);
});
