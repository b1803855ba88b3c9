import { describe, expect, test } from 'vitest';
import type { MusicComparison } from '../../../src/core/compare/compare-music.ts';
import type { HeardMusic } from '../../../src/core/compare/heard-music.ts';
import { type LiveSign, lateSigns, PaceSigns } from '../../../src/core/compare/live-signs.ts';
import { writtenMusic } from '../../../src/core/compare/written-music.ts';
import type { TimedBytes } from '../../support/timeline-of.ts';
import { heardAll, type LaidNote, laidSong } from './laid-notes.ts';

const HALF = 500_000;
const SECOND = 1_000_000;

/** A note each half second, which is a quarter: eight keys in turn. Bar and beat of number n are n / 4 and n % 4, from 1. */
const NOTES = Array.from(
  { length: 60 },
  (_, n): LaidNote => ({ at: n * HALF, key: 60 + (n % 8), off: n * HALF + 100_000 }),
);

interface Told {
  readonly notes?: readonly LaidNote[];
  readonly within?: number;
  readonly more?: readonly TimedBytes[];
  readonly standstill?: readonly [number, number];
  readonly now?: number;
  readonly known?: {
    readonly startMicros: number;
    readonly earliestMicros: number;
    readonly wholeFromMicros: number;
  };
}

/** What is told of what came, and until when; a second of silence before it. */
function signs(
  came: readonly LaidNote[],
  { notes = NOTES, within = 20_000, more = [], standstill, now = 0, known }: Told = {},
): LiveSign[] {
  const song = laidSong(notes);
  const all = came.map((note) => ({ ...note, at: note.at + SECOND, off: note.off! + SECOND }));
  let heard: HeardMusic = heardAll(
    all,
    more.map(([at, ...bytes]): TimedBytes => [at + SECOND, ...bytes]),
  );
  if (standstill) {
    const [from, to] = standstill.map((at) => Float64Array.of(at + SECOND));
    heard = { ...heard, standstills: { fromMicros: from!, toMicros: to! } };
  }
  const { lastMicros } = heard;
  const until = { lastMicros, nowMicros: Math.max(lastMicros, now + SECOND) };
  return new PaceSigns(song, writtenMusic(song), within).signs(heard, 0, until, known);
}

/** So many notes, each so much late; the release goes with it. */
const late = (count: number, by: (n: number) => number, from = NOTES) =>
  from.slice(0, count).map((note, n) => ({ ...note, at: note.at + by(n), off: note.off! + by(n) }));
const at = (n: number) => ({ bar: 1 + Math.floor(n / 4), beat: 1 + (n % 4) });

describe('notes that are not there', () => {
  test('are told with bar and beat, channel and name', () => {
    const came = NOTES.slice(0, 14).filter((_, n) => n !== 9);
    expect(signs(came)).toEqual([{ kind: 'overdue', ...at(9), channel: 1, note: 'C#4' }]);
    const held = NOTES.slice(0, 14).map((note, n) => (n === 9 ? { ...note, off: 50 * SECOND } : note));
    const until = heardAll(held.map((note) => ({ ...note, at: note.at + SECOND, off: note.off! + SECOND })));
    const open = {
      ...until,
      lastMicros: 8 * SECOND,
      on: { ...until.on, offMicros: until.on.offMicros.map((off) => (off > 20 * SECOND ? Number.NaN : off)) },
    };
    const song = laidSong(NOTES);
    const found = new PaceSigns(song, writtenMusic(song), 20_000).signs(open, 0, {
      lastMicros: 8 * SECOND,
      nowMicros: 8 * SECOND,
    });
    expect(found).toEqual([{ kind: 'held', ...at(9), channel: 1, note: 'C#4' }]);
  });

  test('nothing is told of what is sound, or of nothing', () => {
    expect(signs(NOTES)).toEqual([]);
    expect(signs(NOTES.slice(0, 3))).toEqual([]);
    expect(signs([])).toEqual([]);
  });
});

describe('notes that come at other times than they are written', () => {
  test('unevenly: one is more than is allowed behind the others', () => {
    const one = (by: number, count = 11) => signs(late(count, (n) => (n === 5 ? by : 0)));
    expect(one(20_000)).toEqual([]);
    expect(one(20_001)).toEqual([{ kind: 'uneven', ...at(10), micros: 20_001 }]);
    expect(one(-20_001)).toEqual([{ kind: 'uneven', ...at(10), micros: 20_001 }]);
    // Of more as well: one that is far off is seen, and none is left out.
    expect(one(20_001, 20)).toEqual([{ kind: 'uneven', ...at(19), micros: 20_001 }]);
  });

  test('from there on: the latest three are off by more than half of it', () => {
    const drift = (count: number, by: number, some: number) =>
      signs(late(count, (n) => (n >= count - some ? by : 0)));
    expect(drift(11, 30_000, 2)).toEqual([{ kind: 'drift', ...at(10), micros: 30_000 }]);
    expect(drift(11, -30_000, 2)).toEqual([{ kind: 'drift', ...at(10), micros: -30_000 }]);
    // One alone, less what a clock of 300 parts in a million makes of half a second.
    expect(drift(11, 30_000, 1)).toEqual([{ kind: 'uneven', ...at(10), micros: 29_850 }]);
    // Of four two are half of them: the later of each two.
    expect(drift(4, 30_000, 1)).toEqual([{ kind: 'drift', ...at(3), micros: 30_000 }]);
    // Half of what they are apart is not more than half.
    const half = (by: number) => signs(late(11, (n) => (n === 5 ? 40_000 : n >= 9 ? by : 0)))[0]!.kind;
    expect([half(20_000), half(20_001)]).toEqual(['uneven', 'drift']);
  });

  test('three moments at least say where', () => {
    const chord = (n: number) => [60, 64, 67].map((key) => ({ at: n * HALF, key, off: n * HALF + 100_000 }));
    const notes = [...chord(0), ...NOTES.slice(1)];
    const some = (count: number) =>
      signs(
        late(count + 2, (n) => (n === count + 1 ? 30_000 : 0), notes),
        { notes },
      );
    expect(some(2)).toEqual([]);
    expect(some(3)).toMatchObject([{ micros: 30_000 }]);
  });

  test('of twelve moments and more half is enough, if more than a tenth of them have it', () => {
    const middle = (count: number, by: number, some: number, within = 20_000) =>
      signs(
        late(count, (n) => (n >= 5 && n < 5 + some ? by : 0)),
        { within },
      );
    expect(middle(12, 10_001, 2)).toEqual([{ kind: 'uneven', ...at(11), micros: 10_001 }]);
    expect(middle(12, 10_000, 2)).toEqual([]);
    expect(middle(12, 10_001, 1)).toEqual([]);
    expect(middle(11, 10_001, 3)).toEqual([]);
    // Of nineteen one is a stray, of twenty two are.
    expect([
      middle(19, 10_001, 2).length,
      middle(20, 10_001, 2).length,
      middle(20, 10_001, 3).length,
    ]).toEqual([1, 0, 1]);
    expect(middle(20, 5001, 3, 10_000)).toMatchObject([{ micros: 5001 }]);
    expect(middle(20, -10_001, 3)).toMatchObject([{ micros: 10_001 }]);
  });

  test('but not by what a clock may be off', () => {
    // Over nine and a half seconds 300 parts in a million are 2.85 ms, and the third from either end counts.
    const clock = (ppm: number) =>
      signs(
        late(20, (n) => Math.round((n * HALF * ppm) / 1e6)),
        { within: 2 },
      );
    for (const ppm of [-300, -150, 0, 150, 300]) expect(clock(ppm)).toEqual([]);
    expect(clock(320)).toMatchObject([{ kind: 'drift' }]);
    expect(clock(-320)).toMatchObject([{ kind: 'drift' }]);
    expect(clock(600)).toEqual([{ kind: 'drift', ...at(19), micros: 18 * 150 * 2 - 1 * 150 * 2 }]);
  });

  test('of the last twenty seconds; of more only where those have few moments', () => {
    const jump = (from: number) => signs(late(60, (n) => (n < from ? -60_000 : 0)));
    // Number 59 is at 29.5 s: the window begins with 19.
    expect(jump(19)).toEqual([]);
    expect(jump(20)).toMatchObject([{ kind: 'uneven', micros: 60_000 - 150 }]);
    const slow = NOTES.slice(0, 20).map((note, n) => ({
      ...note,
      at: n * 4 * SECOND,
      off: n * 4 * SECOND + 100_000,
    }));
    const early = (from: number) =>
      signs(
        late(20, (n) => (n < from ? -60_000 : 0), slow),
        { notes: slow },
      );
    expect(early(8)).toEqual([]);
    expect(early(9)).toMatchObject([{ micros: 60_000 - 4 * 300 }]);
  });

  test('nor those that came while the listener stood still', () => {
    const came = late(11, (n) => (n === 5 ? 30_000 : 0));
    expect(signs(came, { standstill: [5 * HALF - 1000, 5 * HALF + 30_000] })).toEqual([]);
    expect(signs(came, { standstill: [4 * HALF - 1000, 4 * HALF + 30_000] })).toHaveLength(1);
  });
});

describe('what a full wire explains', () => {
  const KEYS = [60, 64, 67, 71, 74];
  /** Twelve moments of five notes each. */
  const chords = Array.from({ length: 8 }, (_, n) =>
    KEYS.map((key): LaidNote => ({ at: n * HALF, key, off: n * HALF + 100_000 })),
  ).flat();
  /** Three bytes of 320 µs are 960 µs (MIDI 1.0, p. 1): each waits for those before it. */
  const sent = (by: (chord: number, place: number) => number) =>
    chords.map((note, n) => {
      const wait = 960 * (n % 5) + by(Math.floor(n / 5), n % 5);
      return { ...note, at: note.at + wait, off: note.off! + 960 * (n % 5) };
    });
  const told = (by: (chord: number, place: number) => number, some: Told = {}) =>
    signs(sent(by), { notes: chords, within: 0, ...some });

  test('is no lateness: what a note waits for those before it; a microsecond more is', () => {
    expect(told(() => 0)).toEqual([]);
    for (const place of [0, 1, 4]) {
      expect(told((chord, other) => (chord === 3 && other >= place ? 1 : 0))).toEqual([
        { kind: 'uneven', bar: 2, beat: 4, micros: 1 },
      ]);
    }
  });

  test('no longer than what came before it without a gap takes: who is first of a chord has nothing to wait for', () => {
    const [first] = told((chord) => (chord === 3 ? 900 : 0));
    expect(first).toMatchObject({ kind: 'uneven', micros: 900 });
  });

  test('but with a SysEx among it nobody knows how long that took', () => {
    const sysEx = (before: number): Told => ({ more: [[3 * HALF - before, 0xf0, 0x7d, 0x01, 0xf7]] });
    const whole = (chord: number, place: number) => (chord === 3 ? 3840 - 960 * place : 0);
    expect(told(whole)).toMatchObject([{ micros: 3840 }]);
    // Of four bytes it ends 960 µs after it began.
    expect(told(whole, sysEx(2000))).toMatchObject([{ micros: 3840 }]);
    // In the middle of the chord, behind its first note, and behind all of it.
    const rest = (chord: number, place: number) => (chord === 3 && place > 0 ? 3840 - 960 * place : 0);
    const among = (micros: number) => told(rest, { more: [[3 * HALF + micros, 0xf0, 0x7d, 0xf7]] });
    expect([among(1000), among(3841)]).toEqual([[], [{ kind: 'uneven', bar: 2, beat: 4, micros: 2880 }]]);
  });

  test('and who came in in the middle of a chord knows nothing of what was before', () => {
    const known = { startMicros: SECOND, earliestMicros: 0, wholeFromMicros: HALF };
    const whole = (chord: number, place: number) => (chord === 0 ? 3840 - 960 * place : 0);
    expect(told(whole, { known })).toEqual([]);
    expect(told((chord, place) => (chord === 1 ? 3840 - 960 * place : 0), { known })).toMatchObject([
      { micros: 3840 },
    ]);
  });
});

test('the first notes in their order are told at the second moment, where they are nowhere in the song so far apart', () => {
  const chord = [60, 64, 67].map((key): LaidNote => ({ at: 0, key, off: 100_000 }));
  const notes = [
    ...chord,
    { at: HALF, key: 71, off: HALF + 100_000 },
    { at: 2 * HALF, key: 72, off: 2 * HALF + 100_000 },
  ];
  const slow = [...chord, { at: 2 * SECOND, key: 71, off: 2 * SECOND + 1000 }];
  expect(signs(slow, { notes })).toEqual([{ kind: 'drift', bar: 1, beat: 2, micros: 3 * HALF }]);
  const known = { startMicros: SECOND, earliestMicros: 0, wholeFromMicros: 0 };
  expect(signs(slow, { notes, known }).filter(({ kind }) => kind === 'drift')).toEqual([]);
});

describe('notes that are late by the judge of the whole', () => {
  const song = laidSong(NOTES);
  const of = (lateNotes: readonly number[], rateError = 0) =>
    lateSigns(song, {
      clock: { line: { rateError } },
      written: writtenMusic(song),
      lateness: { ofNote: Float64Array.from(NOTES, (_, n) => 1000 * n) },
      lateNotes,
    } as unknown as MusicComparison);

  test('are told with how late they were, the first ten', () => {
    expect(of([6])).toEqual([{ kind: 'late', ...at(6), channel: 1, note: 'F#4', micros: 6000 }]);
    const many = Array.from({ length: 12 }, (_, n) => n + 20);
    expect(of(many).map((sign) => 'micros' in sign && sign.micros / 1000)).toEqual(many.slice(0, 10));
  });

  test('where the clock is known', () => {
    expect(of([6], 1)).toEqual([]);
  });
});
