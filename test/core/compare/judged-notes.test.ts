import { describe, expect, test } from 'vitest';
import { type CompareOptions, compareMusic } from '../../../src/core/compare/compare-music.ts';
import { comparisonDocument, faultCounts } from '../../../src/core/compare/comparison-document.ts';
import { UNCUT } from '../../../src/core/compare/coverage.ts';
import { heardFromBytes } from '../../../src/core/compare/hear.ts';
import { FAULT_NAMES } from '../../../src/core/midi/stream-fault.ts';
import type { TimedBytes } from '../../support/timeline-of.ts';
import { heardAll, type LaidNote, laidChunks, laidSong } from './laid-notes.ts';

const HALF = 500_000;
const SECOND = 1_000_000;

/** A note each half second, which is a quarter of 4/4: number n is in bar n / 4. No two alike within twenty. */
const NOTES = Array.from(
  { length: 40 },
  (_, n): LaidNote => ({ at: n * HALF, key: 40 + (n % 20), off: n * HALF + 200_000, velocity: 90 }),
);
const SONG = laidSong(NOTES);

/** Two seconds into a recording. */
const heardAt = (notes: readonly LaidNote[]) =>
  notes.map((note) => ({
    ...note,
    at: note.at + 2 * SECOND,
    off: (note.off ?? note.at + 1000) + 2 * SECOND,
  }));
function judged(
  came: readonly LaidNote[],
  {
    notes = NOTES,
    options = undefined as CompareOptions | undefined,
    more = [] as readonly TimedBytes[],
    inSong = [] as readonly TimedBytes[],
  } = {},
) {
  const song = notes === NOTES && inSong.length === 0 ? SONG : laidSong(notes, inSong);
  const found = compareMusic(song, heardAll(heardAt(came), more), options);
  return { ...found, document: comparisonDocument('a', 'b', song, found, FAULT_NAMES) };
}
const held = (...open: number[]) =>
  NOTES.map((note, n) => (open.includes(n) ? { ...note, off: Number.NaN } : note));

describe('a recording that is as written', () => {
  test('is the same', () => {
    const { document, ...found } = judged(NOTES);
    expect(found).toMatchObject({
      isTheSong: true,
      verdict: 'same',
      lateNotes: [],
      offsMissing: 0,
      hanging: [],
    });
    expect(document).toMatchObject({
      song: 'a',
      heard: 'b',
      verdict: 'same',
      isTheSong: true,
      notes: { song: 40, heard: 40, matched: 40, missing: 0, added: 0, changed: 0, late: 0, unheard: 0 },
      span: { fromBar: 1, toBar: 10, firstBar: 1, lastBar: 10 },
      offs: { missing: 0, added: 0 },
      clock: { ppm: 0, law: 'tempo-map', lostPerMessageMicros: 0 },
      lateness: { p50Micros: 0, p99Micros: 0, maxMicros: 0, boundMaxMicros: 960 },
      standstills: { count: 0, longestMicros: 0, notes: 0 },
      state: [],
      faults: {},
      causes: [],
      bars: [],
      hanging: [],
      differences: [],
    });
  });

  test('or a part of it', () => {
    const found = judged(NOTES.slice(8, 30));
    expect(found).toMatchObject({ verdict: 'part', isTheSong: true });
    expect(found.document).toMatchObject({
      verdict: 'part',
      notes: { song: 40, heard: 22, matched: 22, unheard: 18 },
      span: { fromBar: 3, toBar: 8, firstBar: 1, lastBar: 10 },
    });
    // Whoever says that the song is cut there does not have it looked for.
    const cut = judged(NOTES.slice(0, 30), {
      options: { withinMicros: 20_000, cut: { ...UNCUT, ends: true } },
    });
    expect(cut.document.notes).toMatchObject({ missing: 10, unheard: 0 });
  });

  test('of a song that repeats itself that part is meant under which all is as written; else the first', () => {
    // Twenty notes, twice; before the second time the program is changed.
    const inSong: TimedBytes[] = [
      [0, 0xc0, 3],
      [20 * HALF - 100_000, 0xc0, 5],
    ];
    const heard = (program: number) =>
      judged(NOTES.slice(20), { inSong, more: [[20 * HALF + 2 * SECOND - 100_000, 0xc0, program]] });
    expect(heard(5).document).toMatchObject({ verdict: 'part', span: { fromBar: 6, toBar: 10 } });
    expect(heard(7).document).toMatchObject({ verdict: 'differs', span: { fromBar: 1, toBar: 5 } });
  });

  test('by pairs that are known', () => {
    const pairs = Int32Array.from(NOTES.keys());
    expect(judged(NOTES, { options: { withinMicros: 20_000, pairs } }).verdict).toBe('same');
    const none = judged(NOTES, {
      options: { withinMicros: 20_000, pairs: pairs.with(5, -1) as Int32Array<ArrayBuffer> },
    });
    expect(none.document.notes.matched).toBe(39);
  });
});

describe('another song', () => {
  const strangers = (count: number) =>
    Array.from(
      { length: count },
      (_, n): LaidNote => ({ at: n * HALF + 250_000, key: 100, channel: 9, off: n * HALF + 251_000 }),
    );

  test('is one of which fewer than three tenths are there', () => {
    const notes = NOTES.map((note, n) => ({ ...note, key: 40 + n }));
    const known = (count: number) =>
      judged(
        [...notes.slice(0, count), ...strangers(40 - count)].sort((a, b) => a.at - b.at),
        { notes },
      );
    expect([known(12).isTheSong, known(11).isTheSong]).toEqual([true, false]);
    const { document } = known(11);
    expect(document).toMatchObject({
      verdict: 'differs',
      causes: [],
      notes: { matched: 11, missing: 29, added: 29, late: 0, unheard: 0 },
    });
    expect(document.differences).toEqual([]);
  });

  test('has no SysEx that is missing', () => {
    const { sysEx, document } = judged(strangers(40), { inSong: [[10 * HALF, 0xf0, 0x7d, 1, 0xf7]] });
    expect([sysEx.differences, document.sysEx.differences]).toEqual([[], []]);
  });

  test('and nothing at all', () => {
    expect(judged([])).toMatchObject({ isTheSong: false, verdict: 'differs' });
    expect(judged([]).document.span).toEqual({ fromBar: 0, toBar: 0, firstBar: 1, lastBar: 10 });
    expect(judged(NOTES, { notes: [] })).toMatchObject({ isTheSong: false, verdict: 'differs' });
    expect(judged(NOTES, { notes: [] }).document.span).toEqual({
      fromBar: 0,
      toBar: 0,
      firstBar: 0,
      lastBar: 0,
    });
    expect(judged([], { more: [[0, 0xc0, 1]] }).isTheSong).toBe(false);
  });
});

describe('keys that are not let go', () => {
  test('hang, from the first strike that stays', () => {
    // 5 and 25 are one key: the release of the second is the first that comes, and ends the first strike.
    const found = judged(held(5));
    expect(found).toMatchObject({
      verdict: 'differs',
      offsMissing: 1,
      hanging: [{ channel: 0, key: 45, micros: 14_500_000 }],
    });
    expect(found.document).toMatchObject({
      offs: { missing: 1 },
      hanging: [{ channel: 1, key: 45, seconds: 14.5 }],
    });
    // Both stay, and it is told once.
    expect(judged(held(5, 25, 6))).toMatchObject({
      offsMissing: 3,
      hanging: [
        { key: 45, micros: 4_500_000 },
        { key: 46, micros: 15_000_000 },
      ],
    });
  });

  test('do not, as often as the song itself never lets them go', () => {
    expect(judged(held(5), { notes: held(5) })).toMatchObject({
      verdict: 'same',
      offsMissing: 0,
      hanging: [],
    });
    expect(judged(held(25), { notes: held(5) })).toMatchObject({ offsMissing: 0, hanging: [] });
    expect(judged(held(5, 25), { notes: held(5) })).toMatchObject({
      offsMissing: 1,
      hanging: [{ key: 45, micros: 4_500_000 }],
    });
  });

  test('of the same key on another channel that says nothing', () => {
    const other: LaidNote = { at: 5 * HALF + 100_000, key: 45, channel: 9, off: 5 * HALF + 300_000 };
    const song = [...held(5), other].sort((a, b) => a.at - b.at);
    const came = [...NOTES, { ...other, off: Number.NaN }].sort((a, b) => a.at - b.at);
    expect(judged(came, { notes: song })).toMatchObject({
      offsMissing: 1,
      hanging: [{ channel: 9, key: 45, micros: 4_600_000 }],
    });
  });

  test('nor those whose release is behind the end of the recording', () => {
    const notes = NOTES.with(29, { ...NOTES[29]!, off: 35 * HALF });
    const came = notes.slice(0, 31).with(29, { ...notes[29]!, off: Number.NaN });
    expect(judged(came, { notes })).toMatchObject({ verdict: 'part', offsMissing: 0, hanging: [] });
  });

  test('hang if nobody wrote them, and no release of theirs is missing', () => {
    const strange: LaidNote = { at: 5 * HALF + 100_000, key: 99, channel: 3, off: Number.NaN };
    const found = judged([...NOTES, strange].sort((a, b) => a.at - b.at));
    expect(found).toMatchObject({ offsMissing: 0, hanging: [{ channel: 3, key: 99, micros: 4_600_000 }] });
  });
});

describe('notes that are late', () => {
  const late = (by: number, some: readonly number[], count = 40) =>
    judged(
      NOTES.slice(0, count).map((note, n) => (some.includes(n) ? { ...note, at: note.at + by } : note)),
      { notes: NOTES.slice(0, count) },
    );

  test('by more than is allowed, where nothing is in the way on the wire', () => {
    // A note itself takes 960 µs until it is whole (MIDI 1.0, p. 1): so much is no lateness.
    expect(late(20_900, [7, 9]).lateNotes).toEqual([]);
    const found = late(21_100, [7, 9]);
    expect(found.lateNotes).toEqual([7, 9]);
    expect(found.document).toMatchObject({
      verdict: 'differs',
      notes: { late: 2 },
      lateness: { maxMicros: 21_100 },
    });
    expect(found.document.bars).toEqual([
      { bar: 2, missing: 0, added: 0, changed: 0, late: 1 },
      { bar: 3, missing: 0, added: 0, changed: 0, late: 1 },
    ]);
  });

  test('of twelve moments at least', () => {
    expect([late(50_000, [7], 12).lateNotes, late(50_000, [7], 11).lateNotes]).toEqual([[7], []]);
  });

  test('but by what a chord of the song itself waits', () => {
    // Twenty notes at once: the last has waited for nineteen of 960 µs.
    const chord = Array.from(
      { length: 20 },
      (_, n): LaidNote => ({ at: 20 * HALF, key: 70 + n, off: 20 * HALF + 100_000 }),
    );
    const notes = [...NOTES.filter((_, n) => n !== 20), ...chord].sort((a, b) => a.at - b.at);
    const came = (more: number) =>
      notes.map((note) =>
        note.at === 20 * HALF ? { ...note, at: note.at + 960 * (note.key - 70) + more } : note,
      );
    expect(judged(came(20_900), { notes }).lateNotes).toEqual([]);
    // The last is whole 39.3 ms after its time; it may be 19.2 and twenty.
    expect(judged(came(21_100), { notes }).lateNotes.at(-1)).toBe(39);
    expect(judged(came(34_000), { notes }).lateNotes).toEqual(chord.map((_, n) => 20 + n));
  });
});

describe('each difference in its line', () => {
  test('missing, added, changed: where, what, and as it came', () => {
    const came = [
      ...NOTES.filter((_, n) => n !== 6).map((note) =>
        note === NOTES[10]
          ? { ...note, velocity: 12 }
          : note === NOTES[14]
            ? { ...note, key: 90 }
            : note === NOTES[18]
              ? { ...note, channel: 4 }
              : note,
      ),
      { at: 21.5 * HALF, key: 30, channel: 2, off: 21.6 * HALF },
    ].sort((a, b) => a.at - b.at);
    const { document } = judged(came);
    const name = { channel: 1, heard: null };
    expect(document.differences).toEqual([
      { ...name, kind: 'missing', what: 'note', bar: 2, beat: 3, note: 'A#2', seconds: 5 },
      {
        ...name,
        kind: 'changed',
        what: 'velocity',
        bar: 3,
        beat: 3,
        note: 'D3',
        seconds: 7,
        heard: 'velocity 12 for 90',
      },
      { ...name, kind: 'changed', what: 'key', bar: 4, beat: 3, note: 'F#3', seconds: 9, heard: 'F#6' },
      {
        ...name,
        kind: 'changed',
        what: 'channel',
        bar: 5,
        beat: 3,
        note: 'A#3',
        seconds: 11,
        heard: 'channel 5',
      },
      { kind: 'added', what: 'note', bar: 6, beat: 2, channel: 3, note: 'F#1', seconds: 12.75, heard: null },
    ]);
    expect(document.notes).toMatchObject({ missing: 1, changed: 3, added: 1 });
    expect(document.bars.map(({ bar, missing, added, changed }) => [bar, missing, added, changed])).toEqual([
      [2, 1, 0, 0],
      [3, 0, 0, 1],
      [4, 0, 0, 1],
      [5, 0, 0, 1],
      [6, 0, 1, 0],
    ]);
  });

  test('what came before the song began is in its first bar', () => {
    const early: LaidNote = { at: -SECOND, key: 30, channel: 2, off: -SECOND + 1000 };
    expect(judged([early, ...NOTES]).document.differences).toMatchObject([
      { kind: 'added', bar: 1, beat: 1, seconds: 1 },
    ]);
  });

  test('the first hundred', () => {
    const notes = Array.from(
      { length: 300 },
      (_, n): LaidNote => ({ ...NOTES[n % 40]!, at: n * HALF, off: n * HALF + 1000 }),
    );
    const found = judged(
      notes.map((note, n) => (n < 120 ? { ...note, velocity: 1 } : note)),
      { notes },
    );
    expect(found.document.notes.changed).toBe(120);
    expect(found.document.differences).toHaveLength(100);
  });

  test('a setting under which notes sounded otherwise', () => {
    const inSong: TimedBytes[] = [
      [0, 0xb0, 7, 100],
      [20 * HALF - 100_000, 0xc0, 5],
    ];
    const more: TimedBytes[] = [[2 * SECOND - 1000, 0xb0, 7, 90]];
    const { document } = judged(NOTES, { inSong, more });
    expect(document.state).toEqual([
      { channel: 1, what: 'controller 7', notes: 40, written: 100, heard: 90, bar: 1 },
      { channel: 1, what: 'program', notes: 20, written: 5, heard: null, bar: 6 },
    ]);
  });

  test('faults by their names', () => {
    expect(faultCounts([0, 2, 0, 1], ['a', 'b', 'c', 'd'])).toEqual({ b: 2, d: 1 });
    const { document } = judged(NOTES, { more: [[2 * SECOND + 250_000, 0xf7]] });
    expect(document).toMatchObject({ verdict: 'differs', faults: { strayEnd: 1 } });
  });
});

describe('the clock', () => {
  test('is told in parts in a million, to a tenth, with what is not sure of it', () => {
    const rate = 1.0012345;
    const { document } = judged(
      NOTES.map((note) => ({ ...note, at: note.at * rate, off: note.off! * rate })),
    );
    expect(document.clock.ppm).toBe(1234.5);
    expect(document.clock.ppmUncertainty).toBeGreaterThan(0);
    expect(document.clock.ppmUncertainty).toBeLessThan(1);
  });

  test('is not, of bytes without times', () => {
    const bytes = laidChunks(NOTES).flatMap((chunk) => [...chunk.bytes]);
    const found = compareMusic(SONG, heardFromBytes(Uint8Array.from(bytes)));
    const { clock, lateness } = comparisonDocument('a', 'b', SONG, found, []);
    expect([clock.ppm, clock.ppmUncertainty, clock.law, lateness]).toEqual([null, null, 'no-timing', null]);
    expect(found).toMatchObject({ verdict: 'same', lateNotes: [] });
  });

  test('nor of a few notes, whose uncertainty is all that is known', () => {
    const few = judged(NOTES.slice(0, 11), { notes: NOTES.slice(0, 11) }).document.clock;
    expect([few.ppm, few.ppmUncertainty]).toEqual([null, null]);
    const jitter = (n: number) => ((n * 7) % 5) * 4000;
    const some = judged(
      NOTES.slice(0, 14).map((note, n) => ({
        ...note,
        at: note.at + jitter(n),
        off: note.off! + jitter(n + 1),
      })),
      { notes: NOTES.slice(0, 14) },
    );
    expect(some.document.clock.ppm).toBeNull();
    expect(some.document.clock.ppmUncertainty).toBeGreaterThan(300);
  });
});
