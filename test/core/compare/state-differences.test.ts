import { describe, expect, test } from 'vitest';
import { wholeSong } from '../../../src/core/compare/coverage.ts';
import type { HeardMusic } from '../../../src/core/compare/heard-music.ts';
import type { MatchedMusic } from '../../../src/core/compare/match-music.ts';
import { stateDifferences } from '../../../src/core/compare/state-differences.ts';
import { writtenMusic } from '../../../src/core/compare/written-music.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';
import { heardNotes } from './laid-notes.ts';

interface Laid {
  readonly song: readonly TimedBytes[];
  readonly heard: readonly TimedBytes[];
  readonly rate?: number;
  readonly setFrom?: number;
  /** [written] heard note; left out: each is the one at its own place. */
  readonly heardOf?: readonly number[];
  /** The last setting heard is in it no more. */
  readonly isPart?: boolean;
}

const isNote = ([, status]: TimedBytes) => (status! & 0xf0) === 0x90;

/** What differs, where song and recording are given message by message. */
function told({ song, heard, rate = 1, setFrom = -Infinity, heardOf, isPart = false }: Laid) {
  const timeline = { columns: timelineOf(song) } as Timeline;
  const written = writtenMusic(timeline);
  const on = heardNotes(heard.filter(isNote).map(([at, , key]) => ({ at, key: key! })));
  const set = heard.filter((message) => !isNote(message));
  // Of a part of a recording the columns go on behind it.
  const state = {
    count: set.length - (isPart ? 1 : 0),
    micros: Float64Array.from(set, ([at]) => at),
    status: Uint8Array.from(set, ([, status]) => status!),
    data1: Uint8Array.from(set, ([, , data1 = 0]) => data1),
    data2: Uint8Array.from(set, ([, , , data2 = 0]) => data2),
  };
  const matching = { heardOf: Int32Array.from(heardOf ?? written.row.keys()) };
  return stateDifferences(
    timeline,
    written,
    { on, state } as unknown as HeardMusic,
    { matching, line: { rate } } as unknown as MatchedMusic,
    { ...wholeSong(written.count), setFromMicros: setFrom },
  );
}

const note = (at: number, channel = 0, key = 60): TimedBytes => [at, 0x90 | channel, key, 64];
const SECOND = 1_000_000;
const HALF = 500_000;

describe('what colours a note', () => {
  test.each<[string, (value: number) => number[], 'program' | 'bend' | number]>([
    ['a program', (value) => [0xc0, value], 'program'],
    ['modulation', (value) => [0xb0, 1, value], 1],
    ['volume', (value) => [0xb0, 7, value], 7],
    ['pan', (value) => [0xb0, 10, value], 10],
    ['expression', (value) => [0xb0, 11, value], 11],
    ['the pedal', (value) => [0xb0, 64, value], 64],
    ['the wheel', (value) => [0xe0, value, 0], 'bend'],
  ])('%s: another value is told, the same is not', (_, message, what) => {
    const song: TimedBytes[] = [[0, ...message(20)], note(SECOND)];
    const played = (value: number): TimedBytes[] => [[0, ...message(value)], note(SECOND)];
    expect(told({ song, heard: played(20) })).toEqual([]);
    expect(told({ song, heard: played(21) })).toEqual([
      { channel: 0, what, notes: 1, first: 0, written: 20, heard: 21 },
    ]);
    // And where it did not come at all.
    expect(told({ song, heard: [note(SECOND)] })).toEqual([
      { channel: 0, what, notes: 1, first: 0, written: 20, heard: undefined },
    ]);
  });

  test('the wheel has fourteen bits, the lower seven first', () => {
    const song: TimedBytes[] = [[0, 0xe0, 3, 2], note(SECOND)];
    expect(told({ song, heard: [[0, 0xe0, 3, 4], note(SECOND)] })).toMatchObject([
      { what: 'bend', written: 3 + 2 * 128, heard: 3 + 4 * 128 },
    ]);
    expect(told({ song, heard: [[0, 0xe0, 5, 2], note(SECOND)] })).toMatchObject([
      { written: 3 + 2 * 128, heard: 5 + 2 * 128 },
    ]);
  });

  test('of a part of a recording what comes behind it is none of it', () => {
    const song: TimedBytes[] = [[0, 0xc0, 1], note(SECOND)];
    const heard: TimedBytes[] = [[0, 0xc0, 1], [HALF, 0xc0, 2], note(SECOND)];
    expect(told({ song, heard })).toHaveLength(1);
    expect(told({ song, heard, isPart: true })).toEqual([]);
  });

  test('nothing else does', () => {
    const song: TimedBytes[] = [
      [0, 0xb0, 2, 9],
      [0, 0xb0, 0, 9],
      [0, 0xd0, 9],
      [0, 0xa0, 7, 9],
      [0, 0x80, 64, 9],
      [0, 0xf0, 7, 9, 0xf7],
      note(SECOND),
    ];
    expect(told({ song, heard: [note(SECOND)] })).toEqual([]);
  });

  test('each channel has its own', () => {
    const song: TimedBytes[] = [
      [0, 0xc0, 1],
      [0, 0xcf, 2],
      [0, 0xbf, 7, 3],
      note(SECOND, 0),
      note(2 * SECOND, 15),
      note(3 * SECOND, 15, 61),
    ];
    const heard = song.map(
      (message): TimedBytes =>
        message[1] === 0xcf ? [0, 0xcf, 9] : message[1] === 0xc0 ? [0, 0xc0, 1] : message,
    );
    expect(told({ song, heard })).toEqual([
      { channel: 15, what: 'program', notes: 2, first: 1, written: 2, heard: 9 },
    ]);
  });

  test('it is counted by notes, the first named; those that did not come are not asked', () => {
    const song: TimedBytes[] = [
      [0, 0xb0, 7, 50],
      note(SECOND),
      note(2 * SECOND),
      [2.5 * SECOND, 0xb0, 7, 60],
      note(3 * SECOND),
      note(4 * SECOND),
    ];
    const heard: TimedBytes[] = [
      [0, 0xb0, 7, 50],
      note(SECOND),
      [1.5 * SECOND, 0xb0, 7, 51],
      note(2 * SECOND),
      note(3 * SECOND),
      note(4 * SECOND),
    ];
    expect(told({ song, heard })).toEqual([
      { channel: 0, what: 7, notes: 3, first: 1, written: 50, heard: 51 },
    ]);
    expect(told({ song, heard, heardOf: [0, -1, 2, 3] })).toEqual([
      { channel: 0, what: 7, notes: 2, first: 2, written: 60, heard: 51 },
    ]);
    expect(told({ song, heard, heardOf: [0, -1, -1, -1] })).toEqual([]);
  });

  test('a note that is matched with another is asked at the time of that', () => {
    const song: TimedBytes[] = [[0, 0xc0, 1], note(SECOND), note(2 * SECOND)];
    const heard: TimedBytes[] = [[0, 0xc0, 1], note(SECOND), [1.5 * SECOND, 0xc0, 2], note(2 * SECOND)];
    expect(told({ song, heard, heardOf: [1, -1] })).toMatchObject([{ notes: 1, first: 0, heard: 2 }]);
    expect(told({ song, heard, heardOf: [-1, 0] })).toEqual([]);
  });

  test('what is set before the note nowhere in the song is the instrument’s own matter', () => {
    const heard: TimedBytes[] = [[0, 0xc0, 9], note(SECOND)];
    expect(told({ song: [note(SECOND)], heard })).toEqual([]);
    expect(told({ song: [note(SECOND), [2 * SECOND, 0xc0, 1]], heard })).toEqual([]);
  });
});

describe('a value that holds within 40 ms is right', () => {
  /** One value until the moment, another from it on; one note. */
  const song = (change: number, at = SECOND): TimedBytes[] => [
    [0, 0xb0, 7, 10],
    [change, 0xb0, 7, 20],
    note(at),
  ];
  const old: TimedBytes[] = [[0, 0xb0, 7, 10], note(SECOND)];
  const early: TimedBytes[] = [[0, 0xb0, 7, 10], [HALF, 0xb0, 7, 20], note(SECOND)];

  test.each([
    ['the old one, where it held until 40 ms before', SECOND - 39_999, old, 0],
    ['the old one no longer', SECOND - 40_000, old, 1],
    ['the new one, where it begins 40 ms behind', SECOND + 40_000, early, 0],
    ['the new one no sooner', SECOND + 40_001, early, 1],
  ])('%s', (_, change, heard, count) => {
    expect(told({ song: song(change), heard })).toHaveLength(count);
  });

  test.each([
    ['a player twice as slow', 2, 20_000],
    ['twice as fast', 0.5, 80_000],
    ['five times as slow', 5, 8000],
    ['slower than anybody', 7, 8000],
    ['five times as fast', 0.2, 200_000],
    ['faster than anybody', 0.1, 200_000],
    ['of no speed', 0, 40_000],
  ])('of the recording’s time: of %s', (_, rate, slack) => {
    expect(told({ song: song(SECOND - slack + 1), heard: old, rate })).toEqual([]);
    expect(told({ song: song(SECOND - slack), heard: old, rate })).toHaveLength(1);
    expect(told({ song: song(SECOND + slack), heard: early, rate })).toEqual([]);
    expect(told({ song: song(SECOND + slack + 1), heard: early, rate })).toHaveLength(1);
  });

  test('nor is any third value right', () => {
    const third: TimedBytes[] = [[0, 0xb0, 7, 30], note(SECOND)];
    expect(told({ song: song(SECOND - 10), heard: third })).toMatchObject([{ written: 20, heard: 30 }]);
  });

  test('a value in force from the first message on is among them', () => {
    const heard: TimedBytes[] = [[0, 0xb0, 7, 20], note(SECOND)];
    const twice: TimedBytes[] = [
      [0, 0xb0, 7, 20],
      [SECOND - 30_000, 0xb0, 7, 40],
      [SECOND - 20_000, 0xb0, 7, 50],
      note(SECOND),
    ];
    expect(told({ song: twice, heard })).toEqual([]);
    // And the one between.
    expect(told({ song: twice, heard: [[0, 0xb0, 7, 40], note(SECOND)] })).toEqual([]);
  });

  test('what is set together with a note may come up to 40 ms behind it', () => {
    const third = (at: number): TimedBytes[] => [
      [0, 0xb0, 7, 30],
      note(SECOND),
      [at, 0xb0, 7, 20],
      note(9 * SECOND),
    ];
    const written = [...song(SECOND), note(9 * SECOND)];
    expect(told({ song: written, heard: third(SECOND + 40_000) })).toEqual([]);
    expect(told({ song: written, heard: third(SECOND + 40_001) })).toMatchObject([{ notes: 1, first: 0 }]);
    // Where it was set long before the note, it comes too late.
    const set = (at: number) => [...song(at), note(9 * SECOND)];
    expect(told({ song: set(SECOND - 39_999), heard: third(SECOND + 20_000) })).toEqual([]);
    expect(told({ song: set(SECOND - 40_000), heard: third(SECOND + 20_000) })).toHaveLength(1);
    // And what comes then must be what is written.
    const other: TimedBytes[] = [[0, 0xb0, 7, 30], note(SECOND), [SECOND + 1, 0xb0, 7, 21]];
    expect(told({ song: song(SECOND), heard: other })).toHaveLength(1);
  });
});

describe('what was never heard to be set', () => {
  const heard = [note(SECOND), note(3 * SECOND)];
  const song = (at: number): TimedBytes[] => [[at, 0xc0, 5], note(SECOND), note(3 * SECOND)];

  test('is owed where somebody listened as it was due', () => {
    expect(told({ song: song(HALF), heard, setFrom: HALF })).toMatchObject([{ notes: 2, first: 0 }]);
    expect(told({ song: song(HALF), heard, setFrom: HALF + 1 })).toEqual([]);
  });

  test('another value is one, whenever somebody listened and however soon before the note it is written', () => {
    const other: TimedBytes[] = [[0, 0xc0, 9], ...heard];
    expect(told({ song: song(HALF), heard: other, setFrom: HALF + 1 })).toMatchObject([
      { notes: 2, heard: 9 },
    ]);
    expect(told({ song: song(SECOND - 10), heard: other })).toMatchObject([{ notes: 2, first: 0 }]);
  });

  test('and where it is written 40 ms before the note at least', () => {
    expect(told({ song: song(SECOND - 40_000), heard })).toMatchObject([{ notes: 2, first: 0 }]);
    expect(told({ song: song(SECOND - 39_999), heard })).toMatchObject([{ notes: 1, first: 1 }]);
  });

  test('the last time it was set before the note is asked', () => {
    const again: TimedBytes[] = [[0, 0xc0, 5], [HALF, 0xc0, 6], note(SECOND)];
    expect(told({ song: again, heard, setFrom: 1 })).toMatchObject([{ written: 6, heard: undefined }]);
    const soon: TimedBytes[] = [[0, 0xc0, 5], [SECOND - 10, 0xc0, 6], note(SECOND)];
    expect(told({ song: soon, heard, setFrom: 1 })).toEqual([]);
    expect(told({ song: soon, heard, setFrom: 0 })).toMatchObject([{ written: 6, heard: undefined }]);
  });
});
