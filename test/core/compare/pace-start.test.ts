import { describe, expect, test } from 'vitest';
import { explainedBy, firstInOrder, startOf, strangers } from '../../../src/core/compare/pace-start.ts';
import { heardNotes, type LaidNote, writtenNotes } from './laid-notes.ts';

const SECOND = 1_000_000;
/** Recording's time at which each song here begins. */
const BEGAN = 9 * SECOND;

/** A note a second, each of a key of its own. */
const SCALE = Array.from(
  { length: 100 },
  (_, n): LaidNote => ({ at: n * SECOND, key: 20 + n, velocity: 50 }),
);
const later = (notes: readonly LaidNote[], by: (n: number) => number = () => 0): LaidNote[] =>
  notes.map((note, n) => ({ ...note, at: note.at + BEGAN + by(n) }));
/** As another key, which the song has nowhere. */
const STRANGE = 127;
const strange = (note: LaidNote): LaidNote => ({ ...note, key: STRANGE });

const start = (heard: readonly LaidNote[], song: readonly LaidNote[] = SCALE, first = 0) =>
  startOf(writtenNotes(song), first, heardNotes(heard));

describe('when a player began', () => {
  test('is where three of four of the first notes stand as written, and four of them', () => {
    const of = (count: number, right: number) =>
      start(later(SCALE.slice(0, count)).map((note, n) => (n < right ? note : strange(note))));
    expect([of(8, 6), of(8, 5)]).toEqual([BEGAN, undefined]);
    expect([of(4, 4), of(4, 3), of(5, 4)]).toEqual([BEGAN, undefined, BEGAN]);
    expect([of(3, 3), of(0, 0)]).toEqual([undefined, undefined]);
  });

  test('sixty-four notes decide', () => {
    const of = (right: number) =>
      start(
        later(SCALE.slice(0, 90)).map((note, n) =>
          n < right ? note : { ...note, key: 20 + ((n * 7) % 16) },
        ),
      );
    // 48 of 64 are three of four.
    expect([of(48), of(47)]).toEqual([BEGAN, undefined]);
  });

  test('or those before the first that is written nowhere, if these are twenty-four', () => {
    const of = (right: number, from: number) =>
      start(
        later(SCALE.slice(0, 64)).map((note, n) =>
          n >= from || (n >= right && n < 24) ? strange(note) : note,
        ),
      );
    expect(of(18, 24)).toBe(BEGAN);
    // One more that is right does not make up for it: 19 of 26, since number 25 is the first that is asked.
    expect(of(17, 24)).toBeUndefined();
    expect(of(24, 24)).toBe(BEGAN);
    expect(of(23, 23)).toBe(BEGAN);
    // The first 24 are asked whatever they are.
    expect(of(18, 18)).toBe(BEGAN);
    expect(of(17, 17)).toBeUndefined();
  });

  test('the beginning may be any of the first sixteen notes heard', () => {
    const of = (wrong: number) =>
      start(later(SCALE.slice(0, 64)).map((note, n) => (n < wrong ? strange(note) : note)));
    expect([of(15), of(16)]).toEqual([BEGAN, undefined]);
  });

  test('and any of the first twenty-four written, or the first of its key', () => {
    // Notes from the twenty-fourth on have the keys of those before it, backwards.
    const song = SCALE.map((note, n) => (n < 24 ? note : { ...note, key: 20 + ((47 - n + 240) % 24) }));
    const from = (first: number, at: number) => start(later(song.slice(at, at + 10)), song, first);
    expect([from(0, 14), from(0, 24)]).toEqual([BEGAN, undefined]);
    expect([from(1, 24), from(0, 23)]).toEqual([BEGAN, BEGAN]);
    // Where none of the first is like it: on its own channel alone.
    expect(start(later(SCALE.slice(60, 70)))).toBe(BEGAN);
    const other = later(SCALE.slice(60, 70)).map((note) => ({ ...note, channel: 1 }));
    expect(start(other)).toBeUndefined();
    expect(start(later(SCALE.slice(0, 10)).map((note) => ({ ...note, channel: 1 })))).toBe(BEGAN);
    expect(start(later(SCALE.slice(0, 10)).map((note) => ({ ...note, velocity: 1 })))).toBe(BEGAN);
    expect(
      start(later(SCALE.slice(0, 10)).map((note) => ({ ...note, velocity: 1, channel: 1 }))),
    ).toBeUndefined();
  });

  test('is the latest of those that explain as many', () => {
    const late = [0, 10_000, 4000, 7000];
    expect(start(later(SCALE.slice(0, 4), (n) => late[n]!))).toBe(BEGAN + 10_000);
  });

  describe('is rather one at which few notes before it are missing', () => {
    const KEYS = [40, 41, 42, 43, 44, 45, 46, 47];
    /** A phrase that begins at once, of which the last note is another one, and the same as it is heard, some time later. */
    const song = (after: number) =>
      [
        ...KEYS.map((key, n) => ({ at: n * SECOND, key: n === 7 ? 99 : key })),
        ...KEYS.map((key, n) => ({ at: n * SECOND + after, key })),
      ].sort((a, b) => a.at - b.at);
    const heard = KEYS.map((key, n): LaidNote => ({ at: n * SECOND + BEGAN, key }));

    test('each counts for half a note', () => {
      // Seven of eight stand at the first place; at the second all, but one note before it is missing, or two.
      expect(start(heard, song(SECOND))).toBe(BEGAN - SECOND);
      expect(start(heard, song(2 * SECOND))).toBe(BEGAN);
    });

    test('not so one that may come a quarter of a second late', () => {
      // The second note stands so long before the second place.
      expect(start(heard, song(1_250_000))).toBe(BEGAN - 1_250_000);
      expect(start(heard, song(1_250_001))).toBe(BEGAN);
    });
  });
});

describe('notes that are written where a beginning puts them', () => {
  const explained = (heard: readonly LaidNote[], from = 0, to = heard.length, song = SCALE, first = 0) =>
    explainedBy(writtenNotes(song), first, heardNotes(heard), from, to, BEGAN);

  test('a quarter of a second late, or a twentieth early', () => {
    const off = (micros: number) => explained(later(SCALE.slice(0, 5), (n) => (n === 3 ? micros : 0)));
    expect([off(250_000), off(250_001), off(-50_000), off(-50_001)]).toEqual([5, 4, 5, 4]);
  });

  test('from one to another; none before the song’s part begins', () => {
    const heard = later(SCALE.slice(0, 10));
    expect([explained(heard, 3, 7), explained(heard, 0, 10, SCALE, 4)]).toEqual([4, 6]);
    expect(explained(later(SCALE.slice(97)), 0, 3)).toBe(3);
  });

  test('each counts once, and none where all are of one moment', () => {
    const twice = [...SCALE.slice(0, 2), ...SCALE.slice(0, 2)].sort((a, b) => a.at - b.at);
    expect(explained(later(SCALE.slice(0, 2)), 0, 2, twice)).toBe(2);
    expect(explained(later([SCALE[0]!, SCALE[0]!]))).toBe(0);
    expect(explained(later([SCALE[5]!]))).toBe(0);
    const chord = [0, 0, 0, SECOND].map((at, n): LaidNote => ({ at, key: 60 + n }));
    expect(explained(later(chord.slice(0, 3)), 0, 3, chord)).toBe(0);
    expect(explained(later(chord), 0, 4, chord)).toBe(4);
    // The same moment again behind another.
    const back = [chord[0]!, chord[3]!, chord[1]!].map((note) => ({ ...note, at: note.at + BEGAN }));
    expect(explained(back, 0, 3, chord)).toBe(3);
  });
});

test('strangers are those of a channel, key and velocity that the song has nowhere', () => {
  const song: LaidNote[] = [
    { at: 0, key: 60, velocity: 5 },
    { at: 1, key: 61, velocity: 6, channel: 15 },
  ];
  const count = (from: number, ...notes: Omit<LaidNote, 'at'>[]) =>
    strangers(writtenNotes(song), heardNotes(notes.map((note, at) => ({ at, ...note }))), from);
  expect(count(0, { key: 60, velocity: 5 }, { key: 61, velocity: 6, channel: 15 })).toBe(0);
  expect(
    count(0, { key: 60, velocity: 6 }, { key: 61, velocity: 6 }, { key: 60, velocity: 5, channel: 15 }),
  ).toBe(3);
  expect(count(1, { key: 1 }, { key: 1 }, { key: 60, velocity: 5 })).toBe(1);
  // Asked again of the same song it is the same.
  const written = writtenNotes(song);
  const heard = heardNotes([
    { at: 0, key: 60, velocity: 5 },
    { at: 1, key: 2 },
  ]);
  expect([strangers(written, heard, 0), strangers(written, heard, 0)]).toEqual([1, 1]);
});

describe('the first that are written, in order, whenever they came', () => {
  const chords = [0, 0, 1, 1, 1, 2].map((at, n): LaidNote => ({ at: at * SECOND, key: 60 + n }));
  const order = (heard: readonly number[], first = 0, song = chords) => {
    const found = firstInOrder(
      writtenNotes(song),
      first,
      heardNotes(heard.map((key, n) => ({ at: n * 77, key }))),
    );
    return found && [...found];
  };

  test('in a moment in any order', () => {
    expect(order([60, 61, 62, 63])).toEqual([0, 1, 2, 3]);
    expect(order([61, 60, 64, 62, 63, 65])).toEqual([1, 0, 4, 2, 3, 5]);
    expect(order([64, 63, 62, 65], 2)).toEqual([4, 3, 2, 5]);
  });

  test('of no moment before its turn, each once, and as loud', () => {
    expect(order([60, 62, 61, 63])).toBeUndefined();
    expect(order([60, 60, 62, 63])).toBeUndefined();
    expect(order([60, 61, 62, 62])).toBeUndefined();
    expect(order([60, 61, 62, 99])).toBeUndefined();
    const twice = chords.map((note, n) => (n === 1 ? { ...note, key: 60 } : note));
    expect(order([60, 60, 62, 63], 0, twice)).toEqual([0, 1, 2, 3]);
    const loud = chords.map((note) => ({ ...note, velocity: 65 }));
    expect(order([60, 61, 62, 63], 0, loud)).toBeUndefined();
  });

  test('four of them, at two moments, and no more than there are', () => {
    expect(order([60, 61, 62])).toBeUndefined();
    expect(order([62, 63, 64, 65], 2)).toEqual([2, 3, 4, 5]);
    expect(order([62, 63, 64, 65], 3)).toBeUndefined();
    expect(order([63, 64, 65, 66], 3)).toBeUndefined();
    const chord = chords.map((note) => ({ ...note, at: 0 }));
    expect(order([60, 61, 62, 63], 0, chord)).toBeUndefined();
  });
});
