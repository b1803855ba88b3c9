import { describe, expect, test } from 'vitest';
import { livePace, paceInOrder } from '../../../src/core/compare/live-pace.ts';
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

/** Of a song of their own notes, all heard that is given, by then. */
function followed(
  song: readonly LaidNote[],
  came: readonly LaidNote[],
  { last = Number.NaN, now = Number.NaN, waits = new Float64Array(song.length) } = {},
) {
  const heard = heardNotes(came.toSorted((a, b) => a.at - b.at));
  const lastMicros = Number.isNaN(last) ? heard.micros.at(-1)! : last;
  return livePace(writtenNotes(song), 0, heard, waits, {
    lastMicros,
    nowMicros: Number.isNaN(now) ? lastMicros : now,
  });
}

describe('which note is which', () => {
  /** Beside the song some notes of one key, and those of it that came. @returns [heard] number among those written; −1: none */
  function paired(written: readonly number[], came: readonly number[]): number[] {
    const own = (times: readonly number[]) =>
      times.map((at): LaidNote => ({ at, key: 100, channel: 5, off: at + 1000 }));
    // The next key has a note near by, which is none of these.
    const neighbour = { at: 10_090_000, key: 101, channel: 5, off: 10_091_000 };
    const song = [...SONG, ...own(written), neighbour].sort((a, b) => a.at - b.at);
    const heard = [...SONG, ...own(came), neighbour].sort((a, b) => a.at - b.at);
    const pace = followed(song, heard)!;
    const ours = song.flatMap(({ key }, n) => (key === 100 ? [n] : []));
    return heard.flatMap(({ key }, n) => {
      if (key !== 100) return [];
      const at = pace.heard.indexOf(n);
      return [at < 0 ? -1 : ours.indexOf(pace.written[at]!)];
    });
  }
  const AT = 10 * SECOND;

  test('the next of its key within sixty milliseconds, though another is nearer', () => {
    const both = [AT, AT + 100_000];
    expect(paired(both, [AT + 60_000])).toEqual([0]);
    expect(paired(both, [AT + 60_001])).toEqual([1]);
    expect(paired(both, [AT - 60_000])).toEqual([0]);
    expect(paired(both, [AT + 60_000, AT + 110_000])).toEqual([0, 1]);
    expect(paired(both, [AT + 60_000, AT + 70_000, AT + 80_000])).toEqual([0, 1, -1]);
  });

  test('else the nearest within half a second', () => {
    expect(paired([AT], [AT + 499_999])).toEqual([0]);
    expect(paired([AT], [AT + 500_000])).toEqual([-1]);
    expect(paired([AT], [AT - 499_999])).toEqual([0]);
    expect(paired([AT], [AT - 500_000])).toEqual([-1]);
    expect(paired([AT, AT + 300_000, AT + 700_000], [AT + 480_000, AT + 650_000])).toEqual([1, 2]);
    // As near to one as to the other: the first of them.
    expect(paired([AT, AT + 200_000], [AT + 100_000])).toEqual([0]);
    // What was passed over does not come again.
    expect(paired([AT, AT + 1_000_000], [AT + 990_000, AT + 995_000])).toEqual([1, -1]);
  });

  test('by as much as the latest seven are late by now', () => {
    const came = SONG.map((note, n) =>
      n < 20 ? note : { ...note, at: note.at + 200_000, off: note.off! + 200_000 },
    );
    const own = (at: number): LaidNote => ({ at, key: 100, off: at + 1000 });
    const song = [...SONG, own(15 * SECOND), own(15_100_000)].sort((a, b) => a.at - b.at);
    const { written, offs, offMicros } = followed(song, [...came, own(15_200_000)])!;
    expect(offMicros).toBe(200_000);
    expect([...offs]).toEqual([...new Array<number>(20).fill(0), ...new Array<number>(21).fill(200_000)]);
    // Of the key that comes twice: the first of both, which is number 31 of the song.
    expect(
      [written.includes(31), written.includes(32)].map((is, n) => is && song[31 + n]!.key === 100),
    ).toEqual([true, false]);
  });
});

describe('who is followed', () => {
  /** The last sixteen of 32: some as written, some elsewhere. */
  const gone = (right: number, other: (note: LaidNote, n: number) => LaidNote) =>
    followed(
      SONG,
      SONG.slice(0, 32).map((note, n) => (n >= 16 + right ? other(note, n) : note)),
    );

  test('is he of whose latest sixteen notes six tenths stand where they are written', () => {
    const elsewhere = (note: LaidNote, n: number) => ({ ...note, key: 60 + ((n + 4) % 8) });
    expect(gone(10, elsewhere)).toBeDefined();
    expect(gone(9, elsewhere)).toBeUndefined();
    // Of twelve in all seven are not enough.
    const few = (right: number) =>
      followed(
        SONG,
        SONG.slice(0, 12).map((note, n) => (n >= right ? elsewhere(note, n) : note)),
      );
    expect([few(7) === undefined, few(9) === undefined]).toEqual([true, false]);
  });

  test('or are written nowhere: they are of no other place', () => {
    const nowhere = (note: LaidNote) => ({ ...note, key: 100 });
    expect(gone(2, nowhere)).toBeDefined();
    expect(gone(0, nowhere)).toBeUndefined();
  });

  test('both together, where it is known when it began', () => {
    const known = { startMicros: 0, earliestMicros: 0, wholeFromMicros: 0 };
    const some = (right: number, strange: number) => {
      const came = SONG.slice(0, 10).map((note, n) => {
        const key = n < right ? note.key : n < right + strange ? 100 : 60 + ((n + 4) % 8);
        return { ...note, key };
      });
      const until = { lastMicros: 5 * SECOND, nowMicros: 5 * SECOND };
      return livePace(WRITTEN, 0, heardNotes(came), NO_WAITS, until, known) !== undefined;
    };
    // Six tenths of ten.
    expect([some(6, 0), some(5, 1), some(5, 0), some(4, 1), some(2, 4)]).toEqual([
      true,
      true,
      false,
      false,
      true,
    ]);
  });
});

describe('what is owed', () => {
  const without = (...missing: number[]) => SONG.filter(({ at }, n) => at < LATER && !missing.includes(n));
  const DUE = SONG[9]!.at;
  const LATER = 16 * SECOND;

  test('was due sixty milliseconds before the last message, and four tenths of a second ago', () => {
    const heard = without(9).filter(({ at }) => at < DUE);
    const overdue = (last: number, now: number) => followed(SONG, heard, { last, now })!.overdue;
    expect(overdue(DUE + 60_000, DUE + SECOND)).toEqual([]);
    expect(overdue(DUE + 60_001, DUE + SECOND)).toEqual([9]);
    expect(overdue(DUE + 60_001, DUE + 400_000)).toEqual([]);
    expect(overdue(DUE + 60_001, DUE + 400_001)).toEqual([9]);
    const waits = NO_WAITS.with(9, 5000) as Float64Array<ArrayBuffer>;
    const waiting = (last: number) => followed(SONG, heard, { last, now: DUE + SECOND, waits })!.overdue;
    expect([waiting(DUE + 65_000), waiting(DUE + 65_001)]).toEqual([[], [9]]);
  });

  test('by the clock of one who is late by now; who is early has no less time', () => {
    const shifted = (by: number) =>
      SONG.slice(0, 9).map((note, n) => ({
        ...note,
        at: note.at + (n < 4 ? 0 : by),
        off: note.off! + (n < 4 ? 0 : by),
      }));
    const overdue = (by: number, last: number) =>
      followed(SONG, shifted(by), { last, now: DUE + 5 * SECOND })!.overdue[0];
    expect([overdue(40_000, DUE + 100_000), overdue(40_000, DUE + 100_001)]).toEqual([undefined, 9]);
    expect([overdue(-40_000, DUE + 60_000), overdue(-40_000, DUE + 60_001)]).toEqual([undefined, 9]);
  });

  test('as often as it came at no place it is not missing, the first of them is told', () => {
    // Three of one key are lost; and one of it came where nothing is written.
    const stray: LaidNote = { ...SONG[9]!, at: 6.7 * SECOND + 500_000, off: 7.3 * SECOND };
    expect(followed(SONG, without(9, 17, 25), { last: LATER })!.overdue).toEqual([9, 17, 25]);
    expect(followed(SONG, [...without(9, 17, 25), stray], { last: LATER })!.overdue).toEqual([9, 17]);
    expect(followed(SONG, [...without(17), stray], { last: LATER })!.overdue).toEqual([]);
  });

  test('in the order of the song, and the first ten', () => {
    const lost = [9, 10, 11, 12, 13, 17, 18, 19, 20, 21, 25, 26];
    const pace = followed(
      SONG,
      SONG.filter((_, n) => !lost.includes(n)),
      { last: 20 * SECOND },
    )!;
    expect(pace.overdue).toEqual(lost.slice(0, 10));
    const held = SONG.map((note) => ({ ...note, off: Number.NaN }));
    expect(followed(SONG, held, { last: LATER })!.unreleased).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
  });

  test('is a release, when it is due as long, and only of what came', () => {
    const off = SONG[9]!.off!;
    const held = SONG.slice(0, 10).with(9, { ...SONG[9]!, off: Number.NaN });
    const unreleased = (last: number, now: number, waits = NO_WAITS) =>
      followed(SONG, held, { last, now, waits })!.unreleased;
    expect([unreleased(off + 60_000, off + SECOND), unreleased(off + 60_001, off + SECOND)]).toEqual([
      [],
      [9],
    ]);
    expect([unreleased(off + 60_001, off + 400_000), unreleased(off + 60_001, off + 400_001)]).toEqual([
      [],
      [9],
    ]);
    const waits = NO_WAITS.with(9, 5000) as Float64Array<ArrayBuffer>;
    expect(unreleased(off + 65_000, off + SECOND, waits)).toEqual([]);
    expect(unreleased(off + 65_001, off + SECOND, waits)).toEqual([9]);
    expect(followed(SONG, without(9), { last: LATER })!.unreleased).toEqual([]);
  });

  test('a release that came for another strike of the key counts for one that is owed', () => {
    const held = (...open: number[]) =>
      SONG.map((note, n) => (open.includes(n) ? { ...note, off: Number.NaN } : note));
    const at = SONG[25]!.off! + 100_000;
    // Those of 1, 9 and 17 are due; that of 25 has come and is not due yet.
    expect(followed(SONG, held(9, 17, 1), { last: at })!.unreleased).toEqual([1, 9]);
    expect(followed(SONG, held(9, 17), { last: at })!.unreleased).toEqual([9]);
    expect(followed(SONG, held(9), { last: at })!.unreleased).toEqual([]);
    expect(followed(SONG, held(9, 17, 25), { last: SONG[25]!.off! + SECOND })!.unreleased).toEqual([
      9, 17, 25,
    ]);
  });

  test('a note that is written without an end is not owed one', () => {
    const song = SONG.with(9, { ...SONG[9]!, off: Number.NaN });
    expect(followed(song, song, { last: LATER })!.unreleased).toEqual([]);
  });

  test('nothing from before the moment from which on all was heard, whether it came or not', () => {
    const known = { startMicros: 0, earliestMicros: SONG[5]!.at, wholeFromMicros: SONG[6]!.at };
    const until = { lastMicros: 19 * SECOND, nowMicros: 19 * SECOND };
    const overdue = (first: number, missing: number) =>
      livePace(
        WRITTEN,
        0,
        heardNotes(SONG.slice(first, 38).filter((note) => note !== SONG[missing])),
        NO_WAITS,
        until,
        known,
      )!.overdue;
    // 5 and 13 are one key.
    expect([overdue(5, 13), overdue(6, 13), overdue(6, 5), overdue(5, 6)]).toEqual([[13], [13], [], [6]]);
    const held = SONG.slice(5, 37).map((note, n) =>
      n === 0 || n === 8 ? { ...note, off: Number.NaN } : note,
    );
    expect(livePace(WRITTEN, 0, heardNotes(held), NO_WAITS, until, known)!.unreleased).toEqual([13]);
  });
});

describe('the first notes in their order, however far apart', () => {
  const slow = (count: number, notes = SONG) =>
    heardNotes(notes.slice(0, count).map((note) => ({ ...note, at: SECOND + 3 * note.at, off: Number.NaN })));

  test('are followed from the first on: how far each is off, and the middle of the latest seven', () => {
    const pace = paceInOrder(WRITTEN, 0, slow(10))!;
    expect(pace).toMatchObject({ startMicros: SECOND, overdue: [], unreleased: [] });
    expect([...pace.written]).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
    expect([...pace.heard]).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
    // Each half second takes a second longer.
    expect([...pace.offs]).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9].map((n) => n * SECOND));
    expect(pace.offMicros).toBe(6 * SECOND);
  });

  test('from a song time on', () => {
    const pace = paceInOrder(WRITTEN, SONG[3]!.at, slow(6, SONG.slice(3)))!;
    expect([...pace.written]).toEqual([3, 4, 5, 6, 7, 8]);
    expect(pace.startMicros).toBe(SECOND + 2 * SONG[3]!.at);
    expect(paceInOrder(WRITTEN, 0, slow(6, SONG.slice(3)))).toBeUndefined();
  });
});
