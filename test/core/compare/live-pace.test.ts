import { describe, expect, test } from 'vitest';
import { livePace } from '../../../src/core/compare/live-pace.ts';
import { KNOWN_BY_NOTES } from '../../../src/core/compare/pace-start.ts';
import { heardNotes, type LaidNote, writtenNotes } from './laid-notes.ts';

const SECOND = 1_000_000;

/** A note each half second, each let go after a quarter of a second; eight keys, so that each comes often. */
const SONG = Array.from({ length: 40 }, (_, n): LaidNote => {
  const at = (n * SECOND) / 2;
  return { at, key: 60 + (n % 8), off: at + SECOND / 4 };
});
const WRITTEN = writtenNotes(SONG);
const NO_WAITS = new Float64Array(SONG.length);

/** Heard from a time of the recording on, each as late as is said. */
function played(
  notes: readonly LaidNote[],
  start = 3 * SECOND,
  late: (n: number) => number = () => 0,
): LaidNote[] {
  return notes.map((note, n) => ({
    ...note,
    at: note.at + start + late(n),
    off: note.off! + start + late(n),
  }));
}

/** What is said of what was heard, up to some time, by then. */
function pace(heard: readonly LaidNote[], now = heard.at(-1)!.at, waits = NO_WAITS, fromMicros = 0) {
  // What has not come yet is not there.
  const notes = heard
    .filter(({ at }) => at <= now)
    .map((note) => ({ ...note, off: note.off! <= now ? note.off! : Number.NaN }));
  return livePace(WRITTEN, fromMicros, heardNotes(notes), waits, { lastMicros: now, nowMicros: now });
}

describe('a sound player, note by note', () => {
  test('is known from the fourth note on, wherever the recording began', () => {
    expect(pace(played(SONG.slice(0, KNOWN_BY_NOTES - 1)))).toBeUndefined();
    const known = pace(played(SONG.slice(0, KNOWN_BY_NOTES)))!;
    expect(known).toMatchObject({ startMicros: 3 * SECOND, offMicros: 0, overdue: [], unreleased: [] });
    expect([...known.written]).toEqual([0, 1, 2, 3]);
    expect([...known.heard]).toEqual([0, 1, 2, 3]);
    expect([...known.offs]).toEqual([0, 0, 0, 0]);
  });

  test('notes of one moment say nothing', () => {
    const chord = [60, 61, 62, 63, 64].map((key): LaidNote => ({ at: 0, key, off: SECOND }));
    const song = writtenNotes([...chord, { at: 5 * SECOND, key: 70 }]);
    const until = { lastMicros: 0, nowMicros: 0 };
    expect(livePace(song, 0, heardNotes(chord), new Float64Array(6), until)).toBeUndefined();
  });

  test('in another part of the song it is known from where that begins', () => {
    const later = pace(played(SONG.slice(16, 24)), undefined, NO_WAITS, 8 * SECOND)!;
    expect(later.startMicros).toBe(3 * SECOND);
    expect([...later.written]).toEqual([16, 17, 18, 19, 20, 21, 22, 23]);
  });

  test('by how much notes come late by now is the middle of the latest seven', () => {
    const late = pace(played(SONG.slice(0, 20), 0, (n) => (n < 10 ? 0 : 55_000)))!;
    expect(late.startMicros).toBe(0);
    expect(late.offMicros).toBe(55_000);
    expect([...late.offs.subarray(8, 12)]).toEqual([0, 0, 55_000, 55_000]);
    const few = pace(played(SONG.slice(0, 13), 0, (n) => (n < 10 ? 0 : 55_000)))!;
    expect(few.offMicros).toBe(0);
  });

  test('who plays something else is not followed', () => {
    const other = SONG.slice(0, 20).map((note) => ({ ...note, key: note.key + 30 }));
    expect(pace(played(other))).toBeUndefined();
    // Sixteen that are right, and sixteen that are not.
    expect(
      pace(played([...SONG.slice(0, 16), ...SONG.slice(16, 32).map((note) => ({ ...note, key: 100 }))])),
    ).toBeUndefined();
  });
});

describe('a note that did not come', () => {
  const heard = played(SONG.filter((_, n) => n !== 9));
  const at = 3 * SECOND + SONG[9]!.at;

  test('is told four tenths of a second after it was due, when something else has come', () => {
    expect(pace(heard, at + 400_000)!.overdue).toEqual([]);
    expect(pace(heard, at + 400_001)!.overdue).toEqual([9]);
  });

  test('not while it may wait for the wire', () => {
    const waits = NO_WAITS.with(9, 500_000) as Float64Array<ArrayBuffer>;
    expect(pace(heard, at + 550_000, waits)!.overdue).toEqual([]);
    expect(pace(heard, at + 560_001, waits)!.overdue).toEqual([9]);
  });

  test('silence accuses nobody: only what was due before the last message', () => {
    const notes = heardNotes(played(SONG.slice(0, 9)));
    const { micros } = notes;
    const lastMicros = micros[8]! + 250_000;
    const silent = livePace(WRITTEN, 0, notes, NO_WAITS, { lastMicros, nowMicros: lastMicros + 5 * SECOND })!;
    expect(silent.overdue).toEqual([]);
  });

  test('as often as it is written by now a key came, whichever of them is which', () => {
    const twice = played(SONG).map((note, n) => (n === 9 ? { ...note, at: note.at - SECOND / 4 } : note));
    expect(
      pace(
        twice.toSorted((a, b) => a.at - b.at),
        at + 3 * SECOND,
      )!.overdue,
    ).toEqual([]);
  });

  test('of many the first ten are told', () => {
    const few = SONG.filter(
      (_, n) => n < 12 || n % 8 === 0 || n % 8 === 1 || n % 8 === 2 || n % 8 === 3 || n % 8 === 4,
    );
    const missing = SONG.flatMap((note, n) => (few.includes(note) ? [] : [n]));
    const told = pace(played(few), 3 * SECOND + SONG[39]!.at)!.overdue;
    expect(told).toEqual(missing.filter((n) => SONG[39]!.at - SONG[n]!.at > 400_000).slice(0, 10));
  });
});

describe('a note that was not let go', () => {
  const heard = played(SONG).map((note, n) => (n === 9 ? { ...note, off: Number.POSITIVE_INFINITY } : note));
  const off = 3 * SECOND + SONG[9]!.off!;

  test('is told four tenths of a second after it was due', () => {
    expect(pace(heard, off + 400_000)!.unreleased).toEqual([]);
    expect(pace(heard, off + 400_001)!.unreleased).toEqual([9]);
    expect(pace(heard, off + 400_001)!.overdue).toEqual([]);
  });
});

describe('a listener who came in, from a place that is known', () => {
  test('owes nothing before the moment from which on all was heard', () => {
    const heard = heardNotes(played(SONG.slice(5, 20), 0));
    const known = { startMicros: 0, earliestMicros: SONG[5]!.at, wholeFromMicros: SONG[6]!.at };
    const until = { lastMicros: SONG[19]!.at, nowMicros: SONG[19]!.at };
    const all = livePace(WRITTEN, 0, heard, NO_WAITS, until, known)!;
    expect(all.startMicros).toBe(0);
    expect(all.written[0]).toBe(5);
    expect(all.overdue).toEqual([]);
    const lessOne = heardNotes(
      played(
        SONG.slice(5, 20).filter((_, n) => n !== 4),
        0,
      ),
    );
    expect(livePace(WRITTEN, 0, lessOne, NO_WAITS, until, known)!.overdue).toEqual([9]);
  });
});
