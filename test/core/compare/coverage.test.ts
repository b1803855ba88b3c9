import { describe, expect, test } from 'vitest';
import {
  BEGINNING_MICROS,
  type Coverage,
  coverageOf,
  isOffUnheard,
  UNCUT,
  wholeSong,
} from '../../../src/core/compare/coverage.ts';
import type { HeardMusic } from '../../../src/core/compare/heard-music.ts';
import type { MatchedMusic } from '../../../src/core/compare/match-music.ts';
import type { TimelineColumns } from '../../../src/core/timeline/timeline.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';
import type { LaidNote } from './laid-notes.ts';
import { laidBeside } from './matched-notes.ts';

const SECOND = 1_000_000;
const LENGTH = 400_000;

/** A note each second, each of a key of its own. */
const SONG = Array.from(
  { length: 12 },
  (_, n): LaidNote => ({ at: n * SECOND, key: 60 + n, off: n * SECOND + LENGTH }),
);

interface Told {
  /** Recording's time of song time 0. */
  readonly start?: number;
  readonly heard?: Partial<HeardMusic>;
  readonly matched?: Partial<MatchedMusic>;
  readonly cut?: typeof UNCUT;
  readonly song?: readonly LaidNote[];
  readonly columns?: TimelineColumns;
  /** [written] so long after it was struck each was let go; as it is written without it. */
  readonly lengths?: Readonly<Record<number, number>>;
}

/** What is covered where those notes were heard, all in time. */
function covered(
  came: readonly number[],
  {
    start = 5 * SECOND,
    heard = {},
    matched = {},
    cut = UNCUT,
    song = SONG,
    columns,
    lengths = {},
  }: Told = {},
): Coverage {
  const notes = came.map((of) => {
    const { at, key, off = at + 100_000 } = song[of]!;
    return { of, key, at: at + start, off: at + start + (lengths[of] ?? off - at) };
  });
  const laid = laidBeside(columns ?? song, notes, {
    heard: {
      lastMicros: Math.max(...notes.flatMap(({ at, off }) => [at, Number.isNaN(off) ? at : off])),
      ...heard,
    },
    matched: { expected: Float64Array.from(song, ({ at }) => at + start), ...matched },
  });
  return coverageOf(laid.columns, laid.written, laid.heard, laid.matched, cut);
}

const upTo = (to: number, from = 0) => Array.from({ length: to - from }, (_, n) => from + n);
const ALL = upTo(12);
const unheard = (coverage: Coverage) =>
  [...coverage.isUnheard.entries()].flatMap(([n, is]) => (is === 1 ? [n] : []));
const UNTIMED = { heard: { hasTimes: false } };

describe('where all of the song was heard', () => {
  test('nothing is unheard, and it was heard to its end', () => {
    const found = covered(ALL);
    expect([unheard(found), found.unheard, found.untilMicros]).toEqual([[], 0, Infinity]);
    expect(wholeSong(3)).toEqual({
      isUnheard: new Uint8Array(3),
      unheard: 0,
      setFromMicros: -Infinity,
      untilMicros: Infinity,
    });
  });

  test('what is set was heard from when the clock began to run, and a little before; by the rate of that clock', () => {
    expect(covered(ALL).setFromMicros).toBe(-5 * SECOND - 3000);
    const line = { start: 0, rate: 2, spread: 0, rateError: 0 };
    expect(covered(ALL, { matched: { line } }).setFromMicros).toBe(-2.5 * SECOND - 3000);
    expect(covered(ALL, { matched: { line: { ...line, rate: 0 } } }).setFromMicros).toBe(-5 * SECOND - 3000);
    // Of a clock that was below nothing, from then on.
    expect(covered(ALL, { start: -SECOND }).setFromMicros).toBe(-Infinity);
    expect(covered(ALL, { start: -SECOND, heard: { beganMicros: -3 * SECOND } }).setFromMicros).toBe(
      -2 * SECOND - 3000,
    );
  });

  test('a clock that begins with the first note was set to it: nobody knows since when there was a listener', () => {
    const from = (start: number, heard = {}) => covered(ALL, { start, heard }).setFromMicros;
    expect([from(0), from(999), from(1000)]).toEqual([-Infinity, -Infinity, -4000]);
    expect(from(500, { beganMicros: 400 })).toBe(-500 - 3000);
    expect(covered(ALL, UNTIMED).setFromMicros).toBe(-Infinity);
    expect(covered(ALL, { matched: { law: 'no-timing' } }).setFromMicros).toBe(-Infinity);
  });

  test('of a song of which nothing was heard nobody says anything', () => {
    const found = covered([]);
    expect(found).toEqual(wholeSong(12));
  });
});

describe('a listener who came late', () => {
  test('has missed what is more than two seconds, with the first message; less of it is missing', () => {
    expect(BEGINNING_MICROS).toBe(2 * SECOND);
    expect(unheard(covered(upTo(12, 2)))).toEqual([]);
    const joined = covered(upTo(12, 3));
    expect([unheard(joined), joined.unheard]).toEqual([[0, 1, 2], 3]);
    expect(joined.setFromMicros).toBe(3 * SECOND + 40_000);
    // With a setting a quarter of a second before the first note.
    expect(covered(upTo(12, 3), { heard: { beganMicros: 7.75 * SECOND } }).setFromMicros).toBe(
      2.75 * SECOND + 40_000,
    );
    expect(covered(upTo(12, 3), UNTIMED).setFromMicros).toBe(3 * SECOND);
  });

  test('or the song itself is cut there, or the first bytes could not be read', () => {
    const cut = { ...UNCUT, isLate: true };
    expect(unheard(covered(upTo(12, 1), { cut }))).toEqual([0]);
    expect(covered(ALL, { cut }).setFromMicros).toBe(40_000);
    expect(unheard(covered(upTo(12, 1), { heard: { isTorn: true } }))).toEqual([0]);
    expect(covered(ALL, { heard: { isTorn: true } }).setFromMicros).toBe(-Infinity);
  });

  test('has missed what was to be expected before the clock ran, and thirty milliseconds: so late it may be stamped', () => {
    const missed = (expected: number, told: Told = {}) =>
      unheard(covered(upTo(12, 1), { start: expected, heard: { beganMicros: 0 }, ...told }));
    expect([missed(29_999), missed(30_000)]).toEqual([[0], []]);
    expect([missed(-1, UNTIMED), missed(0, UNTIMED)]).toEqual([[0], []]);
    expect([
      missed(-1, { matched: { law: 'no-timing' } }),
      missed(0, { matched: { law: 'no-timing' } }),
    ]).toEqual([[0], []]);
    expect(covered(upTo(12, 1), { start: 0, heard: { beganMicros: 0 } }).setFromMicros).toBe(40_000);
  });

  test('or later still, by what it waits for the wire', () => {
    // Of a chord of three each may be the last: two messages of 960 µs are before it.
    const song = [...SONG.slice(0, 3).map((note) => ({ ...note, at: 0, off: LENGTH })), ...SONG.slice(3)];
    const missed = (expected: number) =>
      unheard(covered(upTo(12, 2), { song, start: expected, heard: { beganMicros: 0 } }));
    expect([missed(31_919), missed(31_920)]).toEqual([[0, 1], []]);
    // Without times every one is where its order puts it.
    expect(
      unheard(covered(upTo(12, 2), { song, start: 0, heard: { beganMicros: 0, hasTimes: false } })),
    ).toEqual([]);
  });

  test('did not, if the first message of the song is the first he heard', () => {
    const program: TimedBytes = [0, 0xc2, 5];
    const rows = SONG.flatMap(({ at, key, off }): TimedBytes[] => [
      [at, 0x90, key, 64],
      [off!, 0x80, key, 64],
    ]);
    const state = (micros: number, status: number, data1: number, data2: number) => ({
      count: 1,
      micros: Float64Array.of(micros),
      status: Uint8Array.of(status),
      data1: Uint8Array.of(data1),
      data2: Uint8Array.of(data2),
    });
    const missed = (first: HeardMusic['state'], songRows: readonly TimedBytes[] = [program, ...rows]) => {
      const heard = { beganMicros: 10, state: first };
      return unheard(covered(upTo(12, 1), { columns: timelineOf(songRows), start: 20, heard }));
    };
    expect(missed(state(10, 0xc2, 5, 0))).toEqual([]);
    expect(
      missed(state(10, 0xc2, 5, 0), [[0, 0xf0, 0x7d, 0xf7], [0, 0xf0, 0x7d, 0xf7], program, ...rows]),
    ).toEqual([]);
    expect(missed(state(11, 0xc2, 5, 0))).toEqual([0]);
    expect(missed(state(10, 0xc3, 5, 0))).toEqual([0]);
    expect(missed(state(10, 0xc2, 6, 0))).toEqual([0]);
    expect(missed(state(10, 0xc2, 5, 1))).toEqual([0]);
    expect(missed({ ...state(10, 0xc2, 5, 0), count: 0 })).toEqual([0]);
    expect(missed(state(10, 0xc2, 5, 0), rows)).toEqual([0]);
    // Who came in in mid-song has heard it by chance.
    const cut = { ...UNCUT, isLate: true };
    const columns = timelineOf([program, ...rows]);
    const heard = { beganMicros: SECOND, state: state(SECOND, 0xc2, 5, 0) };
    expect(unheard(covered(upTo(12, 1), { columns, start: 20, heard, cut }))).toEqual([0]);
  });
});

describe('a listener who left early', () => {
  test('has missed what was due behind the last message', () => {
    const found = covered(upTo(9));
    expect([unheard(found), found.unheard]).toEqual([[9, 10, 11], 3]);
    expect(found.untilMicros).toBe(8 * SECOND + LENGTH);
    expect(unheard(covered([0, 1, 3, 4]))).toEqual([5, 6, 7, 8, 9, 10, 11]);
    expect(found.setFromMicros).toBe(-5 * SECOND - 3000);
  });

  test('but not what was due before the last release', () => {
    const missed = (off: number) =>
      unheard(covered(upTo(10), { song: SONG.with(9, { ...SONG[9]!, off }), heard: { lastMicros: 0 } }));
    expect([missed(10 * SECOND + 1), missed(10 * SECOND + 2)]).toEqual([[10, 11], [11]]);
  });

  test('nor what was to be expected more than thirty milliseconds, and what it waits, before the last message', () => {
    const missed = (lastMicros: number, told: Told = {}) =>
      unheard(
        covered(upTo(11), {
          heard: { lastMicros, ...told.heard },
          ...(told.matched && { matched: told.matched }),
        }),
      );
    expect([missed(16 * SECOND + 29_999), missed(16 * SECOND + 30_000)]).toEqual([[11], []]);
    expect([missed(16 * SECOND - 1, UNTIMED), missed(16 * SECOND, UNTIMED)]).toEqual([[11], []]);
    const song = [...SONG.slice(0, 11), { ...SONG[11]!, key: 80 }, { ...SONG[11]!, key: 81 }];
    const chord = (lastMicros: number) => unheard(covered(upTo(11), { song, heard: { lastMicros } }));
    expect([chord(16 * SECOND + 30_959), chord(16 * SECOND + 30_960)]).toEqual([[11, 12], []]);
  });

  test('nor where as many releases came that end nothing: those notes are lost', () => {
    const missed = (surplus: number, told: Told = {}) =>
      unheard(
        covered(upTo(9, told.cut ? 1 : 0), { ...told, heard: { surplusOffs: new Uint32Array(surplus) } }),
      );
    expect([missed(2), missed(3)]).toEqual([[9, 10, 11], []]);
    expect(missed(3, { cut: { ...UNCUT, isLate: true } })).toEqual([0, 9, 10, 11]);
    const late = covered(upTo(9, 1), {
      start: 0,
      heard: { beganMicros: 0, surplusOffs: new Uint32Array(3) },
    });
    expect(unheard(late)).toEqual([0, 9, 10, 11]);
  });

  test('or the song itself is cut there, and all of it is asked for', () => {
    const found = covered(upTo(9), { cut: { ...UNCUT, ends: true } });
    expect([unheard(found), found.untilMicros]).toEqual([[], Infinity]);
  });
});

describe('until when there was a listener', () => {
  const until = (came: readonly number[], told: Told = {}) => covered(came, told).untilMicros;
  const NEVER = { 8: Number.NaN };

  test('with the first note already', () => {
    expect(until([0])).toBe(LENGTH);
    expect(UNCUT).toEqual({ isLate: false, begins: false, ends: false });
  });

  test('with a note that was not let go, or at another time by half a second, that he heard it', () => {
    expect(until(upTo(9), { lengths: NEVER })).toBe(8 * SECOND);
    expect(until(upTo(9), { lengths: { 8: LENGTH + 499_999 } })).toBe(8 * SECOND + LENGTH);
    expect(until(upTo(9), { lengths: { 8: LENGTH + 500_000 } })).toBe(8 * SECOND);
    const song = SONG.with(8, { ...SONG[8]!, off: 8 * SECOND + 700_000 });
    expect(until(upTo(9), { song, lengths: { 8: 200_001 } })).toBe(8 * SECOND + 200_001);
    expect(until(upTo(9), { song, lengths: { 8: 200_000 } })).toBe(8 * SECOND);
  });

  test('a long note that was let go behind later ones', () => {
    const song = SONG.with(6, { ...SONG[6]!, off: 8_900_000 });
    expect(until(upTo(9), { song })).toBe(8_900_000);
    expect(until(upTo(9), { song: SONG.with(6, { ...SONG[6]!, off: Number.NaN }) })).toBe(
      8 * SECOND + LENGTH,
    );
  });

  test('for ever, who heard the last note, or one that lasts so long; but for one who came in in mid-song', () => {
    expect(until(upTo(12), { lengths: { 11: Number.NaN } })).toBe(Infinity);
    expect(until(upTo(12, 3))).toBe(11 * SECOND + LENGTH);
    expect(until(upTo(12), { cut: { ...UNCUT, isLate: true } })).toBe(11 * SECOND + LENGTH);
    const ends = (off: number, length: number) =>
      until(upTo(11), { song: SONG.with(10, { ...SONG[10]!, off }), lengths: { 10: length } });
    expect(ends(11 * SECOND - 1, 999_999)).toBe(Infinity);
    expect(ends(11 * SECOND - 2, 999_998)).toBe(11 * SECOND - 2);
    // As it is written, however soon it was let go.
    expect(ends(11 * SECOND, 900_000)).toBe(Infinity);
  });

  test('by the law under which the song was played', () => {
    const times = Float64Array.from(SONG, ({ at }) => 2 * at);
    expect(until(upTo(9), { matched: { times } })).toBe(16 * SECOND + LENGTH);
  });

  test('a release that is written then or behind it was not to be heard', () => {
    const { written, matched } = laidBeside(SONG, []);
    const times = written.micros.map((at) => at + 1000);
    const isUnheard = (untilMicros: number) =>
      isOffUnheard(written, { ...matched, times }, { ...wholeSong(12), untilMicros }, 3);
    const off = 3 * SECOND + LENGTH + 1000;
    expect([isUnheard(off), isUnheard(off + 1), isUnheard(off + 2), isUnheard(Infinity)]).toEqual([
      true,
      true,
      false,
      false,
    ]);
  });
});
