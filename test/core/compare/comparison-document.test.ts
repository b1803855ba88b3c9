import { describe, expect, test } from 'vitest';
import { compareMusic } from '../../../src/core/compare/compare-music.ts';
import { comparisonDocument, faultCounts } from '../../../src/core/compare/comparison-document.ts';
import { heardFromBytes } from '../../../src/core/compare/hear.ts';
import type { HeardMusic } from '../../../src/core/compare/heard-music.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import type { TimedBytes } from '../../support/timeline-of.ts';
import { heardAll, type LaidNote, laidSong } from './laid-notes.ts';

const HALF = 500_000;
/** Recording's time of the song's beginning. */
const BEGAN = 1_000_000;

/** A note on each beat, four to a bar, on the third channel: C4 and up. */
const notes = (count: number): LaidNote[] =>
  Array.from({ length: count }, (_, n) => ({ at: n * HALF, key: 60 + (n % 24), channel: 2 }));
/** As it is heard: of each note what is another, or nothing of it. */
function heard(
  written: readonly LaidNote[],
  change: Readonly<Record<number, Partial<LaidNote> | undefined>> = {},
  more: readonly LaidNote[] = [],
  messages: readonly TimedBytes[] = [],
) {
  const came = written.flatMap((note, n) => {
    if (n in change && change[n] === undefined) return [];
    const { at, off = at + 100_000, ...rest } = { ...note, ...change[n] };
    return [{ ...rest, at: at + BEGAN, off: off + BEGAN }];
  });
  return heardAll([...came, ...more], messages);
}
const document = (song: Timeline, music: HeardMusic) =>
  comparisonDocument('a.mid', 'b.log', song, compareMusic(song, music), []);

const NOTES = notes(24);
const SONG = laidSong(NOTES);

describe('what is told of notes', () => {
  const found = document(
    SONG,
    heard(
      NOTES,
      {
        5: undefined,
        9: { velocity: 9 },
        11: { key: 90 },
        13: { off: Number.NaN },
        15: { channel: 4 },
        17: { at: 17 * HALF + 45_000 },
      },
      [{ at: BEGAN + 20.5 * HALF, key: 40, channel: 7 }],
      [[BEGAN + 100_000, 0x85, 33, 0]],
    ),
  );

  test('is how many', () => {
    expect(found).toMatchObject({ song: 'a.mid', heard: 'b.log', verdict: 'differs', isTheSong: true });
    expect(found.notes).toEqual({
      song: 24,
      heard: 24,
      // Those of another key or channel are other notes.
      matched: 21,
      missing: 1,
      added: 1,
      changed: 3,
      late: 1,
      unheard: 0,
    });
    expect(found.offs).toEqual({ missing: 1, added: 1 });
  });

  test('and where each is, and what came in its place', () => {
    const place = (n: number) => ({ bar: 1 + Math.floor(n / 4), beat: 1 + (n % 4) });
    const changed = { kind: 'changed', channel: 3 };
    expect(found.differences.map(({ seconds, ...rest }) => rest)).toEqual([
      { kind: 'missing', what: 'note', ...place(5), channel: 3, note: 'F4', heard: null },
      { ...changed, what: 'velocity', ...place(9), note: 'A4', heard: 'velocity 9 for 64' },
      { ...changed, what: 'key', ...place(11), note: 'B4', heard: 'F#6' },
      { ...changed, what: 'channel', ...place(15), note: 'D#5', heard: 'channel 5' },
      { kind: 'added', what: 'note', ...place(20), channel: 8, note: 'E2', heard: null },
    ]);
    for (const [n, at] of [3.5, 5.5, 6.5, 8.5, 11.25].entries())
      expect(found.differences[n]!.seconds).toBeCloseTo(at, 1);
  });

  test('which keys still sound', () => {
    expect(found.hanging).toEqual([{ channel: 3, key: 73, seconds: 7.5 }]);
  });

  test('which bars were heard', () => {
    expect(found.span).toEqual({ fromBar: 1, toBar: 6, firstBar: 1, lastBar: 6 });
    const part = document(SONG, heardAll(NOTES.slice(9, 19)));
    expect(part.span).toEqual({ fromBar: 3, toBar: 5, firstBar: 1, lastBar: 6 });
    expect(part).toMatchObject({ verdict: 'part', notes: { unheard: 14, missing: 0, late: 0 } });
    const empty = document(laidSong([], [[0, 0xb0, 7, 100]]), heardAll(NOTES));
    expect(empty.span).toEqual({ fromBar: 0, toBar: 0, firstBar: 0, lastBar: 0 });
  });

  test('the first hundred', () => {
    const many = notes(120);
    const quiet = Object.fromEntries(many.slice(10).map((_, n) => [10 + n, { velocity: 9 }]));
    const { differences, notes: counts } = document(laidSong(many), heard(many, quiet));
    expect(counts.changed).toBe(110);
    expect(differences).toHaveLength(100);
    expect(differences[0]).toMatchObject({ bar: 3, beat: 3 });
    expect(differences[99]).toMatchObject({ bar: 28, beat: 2 });
  });
});

describe('what is told of times', () => {
  test('a clock that is slow by 500 in a million, in tenths; and of each note how late', () => {
    const slow = NOTES.map((note) => ({ ...note, at: note.at * 1.0005, off: note.at * 1.0005 + 100_000 }));
    const { clock, lateness } = document(SONG, heardAll(slow));
    expect(clock).toMatchObject({ law: 'tempo-map', lostPerMessageMicros: 0 });
    expect(clock.ppm).toBeCloseTo(500, 0);
    expect(clock.ppm! * 10).toBeCloseTo(Math.round(clock.ppm! * 10), 9);
    expect(clock.ppmUncertainty).toBeGreaterThan(0);
    expect(clock.ppmUncertainty! * 10).toBeCloseTo(Math.round(clock.ppmUncertainty! * 10), 9);
    expect(lateness).toMatchObject({ p50Micros: 0, p99Micros: 0, maxMicros: 0 });
    // A note-on is three bytes of 320 µs (MIDI 1.0, p. 1).
    expect(lateness!.boundMaxMicros).toBe(960);
    expect(lateness!.histogram.counts[0]).toBe(24);
  });

  test('of a note that is late by 45 ms, and its neighbours that are not', () => {
    const { lateness, notes: counts } = document(SONG, heard(NOTES, { 17: { at: 17 * HALF + 45_000 } }));
    expect(counts.late).toBe(1);
    expect(lateness!.p50Micros).toBe(0);
    expect(Math.abs(lateness!.maxMicros - 45_000)).toBeLessThan(100);
    expect(Number.isInteger(lateness!.maxMicros)).toBe(true);
  });

  test('of four notes a clock is not known, only how little', () => {
    const { clock, lateness } = document(laidSong(notes(4)), heard(notes(4)));
    expect(clock).toMatchObject({ ppm: null, ppmUncertainty: null });
    expect(lateness).not.toBeNull();
  });

  test('nothing, where there are none, or the player has none', () => {
    const bytes = Uint8Array.from(NOTES.flatMap(({ key }) => [0x92, key, 64, 0x82, key, 64]));
    const untimed = document(SONG, heardFromBytes(bytes));
    expect(untimed).toMatchObject({ verdict: 'same', lateness: null, standstills: { notes: 0 } });
    expect(untimed.clock).toMatchObject({ ppm: null, ppmUncertainty: null });
    const atOnce = heardAll(NOTES.map((note, n) => ({ ...note, at: n * 1920, off: n * 1920 + 960 })));
    const untold = document(SONG, atOnce);
    expect(untold).toMatchObject({ lateness: null, clock: { law: 'no-timing', ppm: null } });
    expect(untold.causes.map(({ code }) => code)).toEqual(['no-timing']);
  });
});

test('of notes that were heard while the listener stood still it is told how many', () => {
  const standstills = { fromMicros: Float64Array.of(4_900_000), toMicros: Float64Array.of(5_600_000) };
  // Numbers 8 and 9, at 5 and 5.5 s.
  const told = document(SONG, { ...heard(NOTES), standstills });
  expect(told.standstills).toEqual({ count: 1, longestMicros: 700_000, notes: 2 });
});

test('what is set is told by its name, its channel, and the first note that it is of', () => {
  const song = laidSong(NOTES, [
    [0, 0xb2, 7, 100],
    [8.5 * HALF, 0xc2, 30],
  ]);
  const { state } = document(song, heard(NOTES, {}, [], [[BEGAN - 1000, 0xb2, 7, 90]]));
  expect(state).toEqual([
    { channel: 3, what: 'controller 7', notes: 24, written: 100, heard: 90, bar: 1 },
    { channel: 3, what: 'program', notes: 15, written: 30, heard: null, bar: 3 },
  ]);
});

test('faults are counted by their names, those that came', () => {
  expect(faultCounts([0, 2, 0, 1], ['a', 'b', 'c', 'd'])).toEqual({ b: 2, d: 1 });
});
