import { describe, expect, test } from 'vitest';
import { Beginning, FROM_ITS_BEGINNING, listenedFrom } from '../../../src/core/compare/beginning.ts';
import type { SongPlace } from '../../../src/core/compare/song-places.ts';
import { heardAll, heardNotes, type LaidNote, writtenNotes } from './laid-notes.ts';

const HALF = 500_000;
/** A verse of eight notes, three times, and an end of its own. */
const VERSE = [60, 64, 67, 72, 71, 69, 65, 62];
const NOTES = [...VERSE, ...VERSE, ...VERSE, 40, 41, 42, 43].map(
  (key, n): LaidNote => ({ at: n * HALF, key, off: n * HALF + 100_000 }),
);
const WRITTEN = writtenNotes(NOTES);
const beginning = () => new Beginning(WRITTEN, new Float64Array(NOTES.length));
const heard = (from: number, to: number) => heardNotes(NOTES.slice(from, to));
const LONG = 1e9;
const place = (first: number, some: Partial<SongPlace> = {}) => ({ first, overAt: -1, ...some }) as SongPlace;

describe('from where on the song was heard', () => {
  test('from its beginning, if the first note heard is one of its first moment', () => {
    expect(listenedFrom(WRITTEN, place(0))).toBe(FROM_ITS_BEGINNING);
    expect(FROM_ITS_BEGINNING).toEqual({ micros: 0, isLate: false, place: undefined });
    const chord = writtenNotes([
      { at: 9, key: 60 },
      { at: 9, key: 64 },
      { at: HALF, key: 67 },
    ]);
    expect(listenedFrom(chord, place(1))).toBe(FROM_ITS_BEGINNING);
  });

  test('else from twenty milliseconds before it, or before the earliest that came', () => {
    const late = place(8, { earliestMicros: 8 * HALF });
    expect(listenedFrom(WRITTEN, late)).toEqual({ micros: 8 * HALF - 20_000, isLate: true, place: late });
    expect(listenedFrom(WRITTEN, place(8, { earliestMicros: 8 * HALF - 30_000 })).micros).toBe(
      8 * HALF - 30_000,
    );
  });
});

describe('where listening may have begun', () => {
  const firsts = (found: readonly SongPlace[]) => found.map(({ first }) => first);

  test('everywhere where all is as written: the one that was chosen first, then in the order of the song', () => {
    const where = beginning();
    const verse = heard(8, 14);
    expect(firsts(where.possible(verse, 0, verse.micros[5]!))).toEqual([0, 8, 16]);
    where.choose(place(16), false, 6);
    expect(firsts(where.possible(verse, 0, verse.micros[5]!))).toEqual([16, 0, 8]);
    where.choose(place(8), false, 6);
    expect(firsts(where.possible(verse, 0, verse.micros[5]!))).toEqual([8, 0, 16]);
    where.choose(place(0), false, 6);
    expect(firsts(where.possible(verse, 0, verse.micros[5]!))).toEqual([0, 8, 16]);
    // The place that was chosen is none any more.
    where.choose(place(3), false, 6);
    expect(firsts(where.possible(verse, 0, verse.micros[5]!))).toEqual([0, 8, 16]);
    expect(where.possible(heardNotes([{ at: 0, key: 99 }]), 0, LONG)).toEqual([]);
  });

  test('it is sure of 24 notes, where no other is possible and the song goes on', () => {
    const sure = (isOnly: boolean, notes: number, overAt = -1) => {
      const where = beginning();
      where.choose(place(0, { overAt }), isOnly, notes);
      return where.isSure;
    };
    expect([sure(true, 24), sure(true, 23), sure(false, 24), sure(true, 24, 0), sure(true, 24, 5)]).toEqual([
      true,
      false,
      false,
      false,
      false,
    ]);
  });

  test('then only that place is asked, and no other is chosen', () => {
    const where = beginning();
    where.choose(place(8), true, 24);
    where.choose(place(0), true, 30);
    const verse = heard(8, 14);
    expect(firsts(where.possible(verse, 0, verse.micros[5]!))).toEqual([8]);
    expect(where.possible(heard(1, 7), 0, heard(1, 7).micros[5]!)).toEqual([]);
  });

  test('of what is settled the place is the next of its key from a song time on', () => {
    const where = beginning();
    where.choose(place(8), false, 6);
    where.settle();
    expect([where.isSure, where.isSeen]).toEqual([true, true]);
    const verse = heard(8, 14);
    expect(firsts(where.possible(verse, 0, verse.micros[5]!))).toEqual([0]);
    expect(firsts(where.possible(verse, 1, verse.micros[5]!))).toEqual([8]);
    expect(where.possible(verse, 20 * HALF, verse.micros[5]!)).toEqual([]);
  });

  test('it was seen by four notes', () => {
    const where = beginning();
    expect(where.isSeen).toBe(false);
    where.choose(place(0), false, 3);
    expect(where.isSeen).toBe(false);
    where.choose(place(0), false, 4);
    expect(where.isSeen).toBe(true);
  });

  test('the song begins again: all of it is open', () => {
    const where = beginning();
    where.choose(place(8), true, 24);
    where.startOver();
    expect([where.isSure, where.isSeen]).toEqual([false, false]);
    const verse = heard(8, 14);
    expect(firsts(where.possible(verse, 0, verse.micros[5]!))).toEqual([0, 8, 16]);
  });

  test('when it begins again of which a note heard may be the first', () => {
    const twice = [
      ...NOTES,
      ...NOTES.map((note) => ({ ...note, at: note.at + 30 * HALF, off: note.off! + 30 * HALF })),
    ];
    const music = heardAll(twice);
    const again = beginning().again(music, NOTES.length, music.lastMicros);
    expect(again).toBeGreaterThan(27 * HALF);
    expect(again).toBeLessThan(30 * HALF);
    expect(beginning().again(music, NOTES.length + 1, music.lastMicros)).toBeUndefined();
  });
});
