import { describe, expect, test } from 'vitest';
import { clockLine } from '../../../src/core/compare/clock-line.ts';
import { seeded } from '../../support/seeded.ts';
import type { LaidNote } from './laid-notes.ts';
import { type HeardAs, laidBeside } from './matched-notes.ts';

const RATE = 1.001;
const START = 7000;
const KEYS = [60, 64, 67];

/** Chords of three, a moment each tenth of a second and a little; each note is let go after 60 ms. */
const CHORDS = Array.from({ length: 30 }, (_, n): LaidNote[] => {
  const at = n * 100_000 + ((n * n) % 7) * 3000;
  return KEYS.map((key) => ({ at, key, off: at + 60_000 }));
}).flat();
const FIRSTS = Uint32Array.from({ length: 30 }, (_, n) => 3 * n);
/** What each note of a chord waits for the wire: three bytes of 320 µs a message (MIDI 1.0, p. 1), two without its status. */
const WHOLE = [0, 960, 1920];
const RUNNING = [0, 960, 1600];
const NONE = [0, 0, 0];

/** Song times of onsets and releases, with what they wait. */
const onsets = (waits: readonly number[], song = CHORDS) => song.map(({ at }, n) => at + waits[n % 3]!);
const releases = (waits: readonly number[], song = CHORDS) => song.map(({ off }, n) => off! + waits[n % 3]!);
const moments = (song = CHORDS) => song.filter((_, n) => n % 3 === 0).map(({ at }) => at);

/** Heard by a clock of that rate, and each note so much later. */
function played(waits: readonly number[], late: (n: number) => number = () => 0, song = CHORDS): HeardAs[] {
  const [on, off] = [onsets(waits, song), releases(waits, song)];
  return song.map(({ key }, n) => ({
    key,
    of: n,
    at: START + RATE * on[n]! + late(n),
    off: START + RATE * off[n]! + late(n),
  }));
}

const FIRST = { start: START, rate: RATE, spread: 40, rateError: 1 };

function lineOf(
  came: readonly HeardAs[],
  { song = CHORDS, firsts = FIRSTS, isByMap = true, lost = 0, first = FIRST, isStill = false } = {},
) {
  const { columns, written, heard, matched } = laidBeside(song, came);
  const { heardOf } = matched.matching;
  const times = isStill ? new Float64Array(written.count) : matched.times;
  return clockLine(columns, written, heard, heardOf, times, isByMap, lost, first, firsts);
}

/** Σ w (x − x̄)², x̄ by the weights. */
function widthOf(x: readonly number[], weights: readonly number[] = x.map(() => 1)): number {
  const all = weights.reduce((sum, one) => sum + one, 0);
  const mean = x.reduce((sum, one, n) => sum + weights[n]! * one, 0) / all;
  return x.reduce((sum, one, n) => sum + weights[n]! * (one - mean) ** 2, 0);
}

/**
 * The doubt of a slope: σ / √width, where σ is 1.4826 of the middle distance (the normal law), for two unknowns √(n / (n − 2))
 * of it, and more by 4 / n since of few points the middle itself is not well known (our own choice).
 */
const doubtOf = (count: number, spread: number, width: number) =>
  (Math.sqrt(count / (count - 2)) * (1 + 4 / count) * 1.4826 * spread) / Math.sqrt(width);
/** Of points on a line: no stamp is taken to be better than a microsecond. */
const leastDoubt = (x: readonly number[]) => doubtOf(x.length, 1, widthOf(x));

function expectExact(found: ReturnType<typeof lineOf>, points: readonly number[]) {
  expect(found.rate).toBeCloseTo(RATE, 11);
  expect(found.start).toBeCloseTo(START, 4);
  expect(found.spread).toBeLessThan(1e-5);
  expect(found.rateError / leastDoubt(points)).toBeCloseTo(1, 9);
}

describe('the line of a clock goes through as much as the player can have meant', () => {
  test('onsets and releases of one who writes every status, and of one who leaves out what is running', () => {
    for (const waits of [WHOLE, RUNNING])
      expectExact(lineOf(played(waits)), [...onsets(waits), ...releases(waits)]);
  });

  test('of a law that is not the tempo map no release is known: onsets alone', () => {
    for (const waits of [WHOLE, RUNNING])
      expectExact(lineOf(played(waits), { isByMap: false }), onsets(waits));
  });

  test('the first of each moment where all of a chord comes at once, as from no wire', () => {
    expectExact(lineOf(played(NONE)), moments());
  });

  test('firsts that waited behind a chord of the moment before, less what they waited', () => {
    // Twelve notes of 960 µs fill ten milliseconds and more: the next chord, ten behind, waits one and a half, and so on.
    const song = Array.from({ length: 30 }, (_, n): LaidNote[] =>
      Array.from({ length: n % 2 === 0 ? 12 : 1 }, (_, place) => ({
        at: 100_000 * n - (n % 2) * 90_000 + (n % 5) * 100,
        key: 40 + place,
        off: Number.NaN,
      })),
    ).flat();
    const firsts = Uint32Array.from(song.keys()).filter((n) => n === 0 || song[n]!.at !== song[n - 1]!.at);
    const waitOf = (n: number) => {
      const chord = song.slice(0, n).filter(({ at }) => at > song[n]!.at - 20_000);
      const before = chord.filter(({ at }) => at < song[n]!.at);
      return before.length === 0 ? 0 : before[0]!.at + 12 * 960 - song[n]!.at;
    };
    // Of a chord's other notes nothing is known: they come whenever they will.
    const came = song.map(({ at, key }, n): HeardAs => {
      const isFirst = firsts.includes(n);
      const strays = ((n * 7919) % 13) * 3000;
      return {
        of: n,
        key,
        off: Number.NaN,
        at: START + RATE * (isFirst ? at + waitOf(n) : at + strays + 1000),
      };
    });
    const points = [...firsts].map((n) => song[n]!.at + waitOf(n));
    expect(points.filter((x, n) => x !== song[firsts[n]!]!.at).length).toBe(15);
    expectExact(lineOf(came, { song, firsts }), points);
  });

  test('what is lost with each message is taken off, by how many messages are before each', () => {
    const lost = 700;
    // Six messages a chord: three strikes, three releases.
    const message = (n: number) => 6 * Math.floor(n / 3) + (n % 3);
    const came = played(WHOLE).map((one, n) => ({
      ...one,
      at: one.at + lost * message(n),
      off: one.off! + lost * (message(n) + 3),
    }));
    expectExact(lineOf(came, { lost }), [...onsets(WHOLE), ...releases(WHOLE)]);
    expect(lineOf(came).rate).toBeGreaterThan(RATE + 0.01);
  });

  test('a release that never came, or is not written, is no point', () => {
    const came = played(WHOLE).map((one, n) => (n % 4 === 1 ? { ...one, off: Number.NaN } : one));
    const heardOff = releases(WHOLE).filter((_, n) => n % 4 !== 1);
    expectExact(lineOf(came), [...onsets(WHOLE), ...heardOff]);
    const song = CHORDS.map((note, n) => (n % 3 === 2 ? { ...note, off: Number.NaN } : note));
    const writtenOff = releases(WHOLE).filter((_, n) => n % 3 !== 2);
    expectExact(lineOf(played(WHOLE), { song }), [...onsets(WHOLE), ...writtenOff]);
  });

  test('notes that were not heard are none', () => {
    const came = played(WHOLE).filter(({ of }) => of % 3 !== 1);
    const heard = (_: number, n: number) => n % 3 !== 1;
    expectExact(lineOf(came), [...onsets(WHOLE).filter(heard), ...releases(WHOLE).filter(heard)]);
  });

  test('of very many notes each second, third … counts', () => {
    const song = Array.from(
      { length: 6002 },
      (_, n): LaidNote => ({ at: n * 5000, key: n % 100, off: Number.NaN }),
    );
    const came = song.map(
      ({ at, key }, n): HeardAs => ({ of: n, key, off: Number.NaN, at: START + RATE * at }),
    );
    const firsts = FIRSTS;
    const [more, all] = [came.slice(0, 6001), came.slice(0, 6000)];
    const points = (some: readonly HeardAs[], step: number) =>
      some.filter((_, n) => n % step === 0).map(({ of }) => song[of]!.at);
    expectExact(lineOf(all, { song, firsts }), points(all, 1));
    expectExact(lineOf(more, { song, firsts }), points(more, 2));
  });
});

describe('where too little is known', () => {
  test('of fewer than twelve moments the line is the first, and nobody knows how good', () => {
    const firsts = FIRSTS.subarray(0, 11);
    expect(lineOf(played(WHOLE), { firsts })).toEqual({ ...FIRST, rateError: Infinity });
    expect(lineOf(played(WHOLE), { firsts: FIRSTS.subarray(0, 12) }).rateError).toBeLessThan(1);
  });

  test('points of one time have no line; what they wait for the wire gives them one', () => {
    const song = CHORDS.map((note) => ({ ...note, at: 0, off: Number.NaN }));
    const came = song.map(
      ({ key }, n): HeardAs => ({ key, of: n, off: Number.NaN, at: START + RATE * 960 * n }),
    );
    const found = lineOf(came, { song, isStill: true });
    expect(found.rate).toBeCloseTo(RATE, 9);
    expect(found.start).toBeCloseTo(START, 4);
  });
});

describe('points that are not on it', () => {
  /** Single notes, of whose releases nothing is known: all ways are one. */
  const SINGLE = Array.from(
    { length: 41 },
    (_, n): LaidNote => ({ at: n * 100_000, key: 60, off: Number.NaN }),
  );
  const firsts = Uint32Array.from(SINGLE.keys());
  const found = (late: (n: number) => number, rate = RATE) =>
    lineOf(played(NONE, late, SINGLE), { song: SINGLE, firsts, first: { ...FIRST, rate } });

  test('count for nothing beyond 4.685 σ, as far and as many as they may be, and for little just within', () => {
    // σ is 1.4826 of the spread, which is a microsecond at least: 6.946 µs.
    for (const far of [7, -7, 1e5, -1e7]) {
      const line = found((n) => (n % 20 === 3 ? far : 0));
      expect(line.start).toBeCloseTo(START, 6);
      expect(line.rate).toBeCloseTo(RATE, 12);
      expect(line.rateError).toBeCloseTo(
        doubtOf(41, 1, widthOf(SINGLE.filter((_, n) => n % 20 !== 3).map(({ at }) => at))),
        14,
      );
    }
    expect(found((n) => (n % 20 === 3 ? 6.9 : 0)).start - START).toBeGreaterThan(1e-6);
    expect(found((n) => (n % 20 === 3 ? -6.9 : 0)).start - START).toBeLessThan(-1e-6);
    // A third of all, on one side.
    const third = found((n) => (n % 3 === 1 ? 400_000 : 0));
    expect(third.start).toBeCloseTo(START, 4);
    expect(third.rate).toBeCloseTo(RATE, 10);
  });

  test.each([50, 900, 4000].flatMap((noise) => [0, 4, 9].map((strays) => ({ noise, strays }))))(
    'are weighed by the biweight of what is left (Tukey), so that no weighted sum of it is: %o',
    ({ noise, strays }) => {
      for (const seed of [1, 2, 3, 4]) {
        const chance = seeded(seed);
        const late = Array.from(SINGLE, (_, n) =>
          n < strays ? 40_000 * chance() : noise * (chance() + chance() + chance() - 1.5),
        );
        const came = played(NONE, (n) => late[n]!, SINGLE);
        const line = found((n) => late[n]!, RATE + 0.0005);
        const left = came.map(({ at }, n) => at - line.start - line.rate * SINGLE[n]!.at);
        const weights = left.map((one) => {
          const far = one / (4.685 * 1.4826 * line.spread);
          return Math.abs(far) >= 1 ? 0 : (1 - far ** 2) ** 2;
        });
        const total = (of: (n: number) => number) =>
          left.reduce((sum, one, n) => sum + one * weights[n]! * of(n), 0);
        expect(Math.abs(total(() => 1)) / noise).toBeLessThan(1e-3);
        expect(Math.abs(total((n) => n - 20)) / noise).toBeLessThan(1e-3);
        // The spread is that of the second pass: near the middle of what is left.
        const middle = left.map(Math.abs).sort((a, b) => a - b)[20]!;
        expect(Math.abs(Math.log(line.spread / middle))).toBeLessThan(0.2);
        const width = widthOf(
          SINGLE.map(({ at }) => at),
          weights,
        );
        expect(line.rateError / doubtOf(41, line.spread, width)).toBeCloseTo(1, 5);
      }
    },
  );
});
