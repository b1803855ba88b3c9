import { describe, expect, test } from 'vitest';
import { type ClockFit, clockFit, isClockKnown } from '../../../src/core/compare/clock-fit.ts';
import type { MatchedMusic } from '../../../src/core/compare/match-music.ts';
import { momentPoints } from '../../../src/core/compare/moment-points.ts';
import { robustLine } from '../../../src/core/compare/robust-line.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import type { LaidNote } from './laid-notes.ts';
import { type HeardAs, laidBeside } from './matched-notes.ts';

const RATE = 1.002;
const START = 50_000;

/** A hundred moments, now of one note and now of five: messages are not even in time. No releases. */
const SONG = Array.from({ length: 100 }, (_, n): LaidNote[] =>
  Array.from({ length: n % 40 < 20 ? 1 : 5 }, (_, place) => ({
    at: n * 200_000,
    key: 40 + place,
    off: Number.NaN,
  })),
).flat();
const MESSAGES = SONG.length;

/** Fitted to a robust line, as `matchMusic` does. */
function fitOf(
  came: readonly HeardAs[],
  {
    song = SONG as readonly LaidNote[],
    law = 'tempo-map' as MatchedMusic['law'],
    standstills = undefined as [number, number] | undefined,
  } = {},
): ClockFit & { readonly plain: MatchedMusic['line'] } {
  const held = standstills && {
    standstills: { fromMicros: Float64Array.of(standstills[0]), toMicros: Float64Array.of(standstills[1]) },
  };
  const { columns, written, heard, matched } = laidBeside(song, came, { heard: held ?? {} });
  const { x, y } = momentPoints(matched.times, written, heard, matched.matching.heardOf);
  const line = robustLine(x, y);
  return { ...clockFit({ columns } as Timeline, written, heard, { ...matched, law, line }), plain: line };
}

/** The player waits after each message a little too long, and never makes it up. */
const lagging = (lost: number, song: readonly LaidNote[] = SONG): HeardAs[] =>
  song.map(({ at, key }, n) => ({ of: n, key, off: Number.NaN, at: START + RATE * at + lost * n }));

describe('time that is lost with each message', () => {
  test('is told from a clock that is slow, by how many messages come when', () => {
    const found = fitOf(lagging(1000).slice(7));
    expect(found.lostPerMessageMicros).toBeCloseTo(1000, -1);
    // From the first message heard to the last.
    expect(found.lostMicros / (found.lostPerMessageMicros * (MESSAGES - 1 - 7))).toBeCloseTo(1, 12);
    expect(found.line.rate).toBeCloseTo(RATE, 4);
    expect(Math.abs(found.line.start - START)).toBeLessThan(50);
    expect(found.spread).toBeLessThan(50);
    expect(found.line.rateError).toBeLessThan(1e-6);
  });

  /** The least that is named, to a hundredth of a microsecond with each message. */
  function leastNamed(song: readonly LaidNote[], noise: (note: number) => number = () => 0) {
    const lagged = (lost: number) => lagging(lost, song).map((one, n) => ({ ...one, at: one.at + noise(n) }));
    let [none, some] = [0, 2000];
    while (some - none > 0.01) {
      const middle = (none + some) / 2;
      if (fitOf(lagged(middle), { song }).lostPerMessageMicros > 0) some = middle;
      else none = middle;
    }
    return fitOf(lagged(some), { song });
  }

  test('is none where it is less than sixty milliseconds in all', () => {
    const { lostMicros } = leastNamed(SONG);
    expect(lostMicros).toBeGreaterThanOrEqual(60_000);
    expect(lostMicros).toBeLessThan(60_010);
  });

  test('is none where what is left is hardly less', () => {
    // Twice as long, so that sixty milliseconds are lost before two of what is left are explained.
    const twice = [...SONG, ...SONG.map((note) => ({ ...note, at: note.at + 20_000_000 }))];
    const { lostMicros, plain, spread } = leastNamed(twice);
    expect(lostMicros).toBeGreaterThan(61_000);
    expect(plain.spread - spread).toBeGreaterThan(2000);
    expect(plain.spread - spread).toBeLessThan(2001);
  });

  test('is none where more than six tenths of it are left, since something else makes the player late as well', () => {
    const { plain, spread } = leastNamed(SONG, (note) => (((SONG[note]!.at / 200_000) * 7) % 5) * 6000);
    expect(plain.spread - spread).toBeGreaterThan(2000);
    expect(spread / plain.spread).toBeLessThan(0.6);
    expect(spread / plain.spread).toBeGreaterThan(0.58);
  });

  test('is none where there is as much left as before, since something else makes the player late', () => {
    const late = (n: number) => (n % 3 === 0 ? 150_000 : n % 3 === 1 ? -150_000 : 0);
    const came = lagging(1000).map((one, n) => ({
      ...one,
      at: one.at + late(Math.round(SONG[n]!.at / 200_000)),
    }));
    const found = fitOf(came);
    expect(found.lostPerMessageMicros).toBe(0);
    expect(found.lostMicros).toBe(0);
    expect(found.spread).toBe(found.plain.spread);
  });

  test('is none where time is won, nor where notes come evenly: that is a clock', () => {
    expect(fitOf(lagging(-1000)).lostPerMessageMicros).toBe(0);
    const even = Array.from(
      { length: 60 },
      (_, n): LaidNote => ({ at: n * 200_000, key: 60, off: Number.NaN }),
    );
    const found = fitOf(lagging(1000, even), { song: even });
    expect(found.lostPerMessageMicros).toBe(0);
    // A millisecond more each fifth of a second.
    expect(found.line.rate).toBeCloseTo(RATE + 1 / 200, 9);
  });

  test('is not asked of fewer than 24 moments', () => {
    const some = (moments: number) =>
      SONG.filter(({ at }) => at < (20 + moments) * 200_000 && at >= 8 * 200_000);
    const lost = (moments: number) => {
      const song = some(moments);
      return fitOf(lagging(9000, song), { song }).lostPerMessageMicros;
    };
    // Of 8 … 19 one note each, and then of five.
    expect(lost(11)).toBe(0);
    expect(lost(12) / 9000).toBeCloseTo(1, 1);
  });
});

describe('the points a clock is seen by', () => {
  test('are the first notes of their moments, with times under the law and those they came at', () => {
    const { points } = fitOf(lagging(0));
    expect(points.notes.length).toBe(100);
    expect([...points.notes.subarray(19, 23)]).toEqual([19, 20, 25, 30]);
    expect([...points.x]).toEqual(Array.from({ length: 100 }, (_, n) => n * 200_000));
    expect(points.y[21]).toBeCloseTo(START + RATE * 21 * 200_000, 6);
  });

  test('but for those that came while the listener stood still, and those that did not come', () => {
    const from = START + RATE * 400_000 - 5;
    const came = lagging(0).filter(({ of }) => of !== 7);
    const { points } = fitOf(came, { standstills: [from, from + 200_000] });
    expect([...points.notes.subarray(0, 7)]).toEqual([0, 1, 4, 5, 6, 8, 9]);
    const first = fitOf(lagging(0), { standstills: [START - 5, START + 5] }).points;
    expect([...first.notes.subarray(0, 2)]).toEqual([1, 2]);
  });

  test('say nothing of a clock where there is no timing: the line is the one by order', () => {
    const found = fitOf(lagging(1000), { law: 'no-timing' });
    expect(found.line).toEqual(found.plain);
    expect(found).toMatchObject({ lostPerMessageMicros: 0, lostMicros: 0, spread: found.plain.spread });
    expect(found.points.notes.length).toBe(100);
  });

  test('releases count under the tempo map alone', () => {
    const song = SONG.map((note) => ({ ...note, off: note.at + 50_000 }));
    // Those of a chord one after another, 960 µs apart, and so its releases.
    const came = song.map(({ at, key }, n): HeardAs => {
      const sent = RATE * (at + 960 * (key - 40));
      return { of: n, key, at: START + sent, off: START + sent + RATE * 50_000 };
    });
    const [all, some] = (['tempo-map', 'first-tempo'] as const).map(
      (law) => fitOf(came, { song, law }).line.rateError,
    );
    // Of twice as many points of one width each the doubt is less by √2, and a little for their number.
    expect(some! / all!).toBeGreaterThan(1.41);
    expect(some! / all!).toBeLessThan(1.43);
  });
});

test('a clock is known where two standard deviations are less than 300 parts in a million', () => {
  const known = (rateError: number) => isClockKnown({ line: { rateError } } as ClockFit);
  expect([known(149e-6), known(150e-6), known(151e-6)]).toEqual([true, false, false]);
});
