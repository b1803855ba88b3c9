import { describe, expect, test } from 'vitest';
import type { HeardMusic } from '../../../src/core/compare/heard-music.ts';
import { pairsIn, placeByPairs } from '../../../src/core/compare/live-pairs.ts';
import type { SongPlace } from '../../../src/core/compare/song-places.ts';
import type { WrittenMusic } from '../../../src/core/compare/written-music.ts';

const STEP = 200_000;
/** Of a song of a note each fifth of a second, or at those times. */
const song = (times: readonly number[]) =>
  ({ count: times.length, micros: Float64Array.from(times) }) as WrittenMusic;
const EVEN = Array.from({ length: 40 }, (_, n) => n * STEP);

interface Told {
  readonly times?: readonly number[];
  readonly whole?: number;
  readonly overAt?: number;
  readonly at?: (note: number) => number;
}

/** @param which [heard] number of the written one */
function place(
  which: readonly number[],
  { times = EVEN, whole = 0, overAt = -1, at = (n: number) => 1000 * n }: Told = {},
) {
  const on = { count: which.length, micros: Float64Array.from(which, (_, n) => at(n)) };
  const known = { writtenOf: Int32Array.from(which), wholeFromMicros: whole, overAt } as SongPlace;
  return placeByPairs(song(times), -5, { on } as HeardMusic, known);
}
const upTo = (to: number, from = 0) => Array.from({ length: to - from }, (_, n) => from + n);

describe('where a recording is of which each note is known', () => {
  test('at the latest of them; what is less than 300 ms before that may not be whole', () => {
    const found = place(upTo(10));
    expect(found).toMatchObject({ fromMicros: -5, share: 1, begunMicros: 0, songMicros: 9 * STEP });
    expect([...found.songAt]).toEqual(EVEN.slice(0, 10));
    // 1.4 s is before 1.5, number 7.
    expect(found).toMatchObject({ toMicros: 7 * STEP, heardUntil: 7000 });
    expect(place(upTo(10), { times: EVEN.with(9, 7 * STEP + 300_000) })).toMatchObject({
      toMicros: 6 * STEP,
      heardUntil: 6000,
    });
    expect(place(upTo(9, 3)).begunMicros).toBe(3 * STEP);
  });

  test('before the first that is still to come, of those that were to be heard', () => {
    const lost = [...upTo(5), ...upTo(10, 6)];
    expect(place(lost)).toMatchObject({ toMicros: 4 * STEP, heardUntil: 4000 });
    // Those before it are asked of nobody.
    expect(place(lost, { whole: 5 * STEP + 1 })).toMatchObject({ toMicros: 7 * STEP, heardUntil: 6000 });
    expect(place(upTo(9, 3), { whole: 3 * STEP })).toMatchObject({ toMicros: 6 * STEP, heardUntil: 3000 });
    expect(place(upTo(9, 3))).toMatchObject({ toMicros: -1, heardUntil: -1 });
    // All that are written came.
    expect(place(upTo(10), { times: EVEN.slice(0, 10) })).toMatchObject({ toMicros: 7 * STEP });
  });

  test('not between two that came the other way round, nor between two of one moment', () => {
    const [a, b] = [7, 8];
    expect(place([...upTo(7), b, a, 9, 10])).toMatchObject({
      songMicros: 10 * STEP,
      toMicros: 8 * STEP,
      heardUntil: 8000,
    });
    expect(place([...upTo(7), b, a, 9])).toMatchObject({ toMicros: 6 * STEP, heardUntil: 6000 });
    const chord = EVEN.with(8, 7 * STEP);
    expect(place(upTo(11), { times: chord })).toMatchObject({ toMicros: 7 * STEP, heardUntil: 8000 });
    // Heard at one time, they are not parted either.
    expect(place(upTo(10), { at: (n) => (n === 8 ? 7000 : 1000 * n) })).toMatchObject({
      toMicros: 6 * STEP,
      heardUntil: 6000,
    });
    expect(place(upTo(10), { at: (n) => (n === 8 ? 7001 : 1000 * n) })).toMatchObject({
      toMicros: 7 * STEP,
      heardUntil: 7000,
    });
  });

  test('up to where the song is over', () => {
    const found = place([...upTo(10), -1, -1], { overAt: 10 });
    expect(found).toMatchObject({ songMicros: 9 * STEP, toMicros: 7 * STEP });
    expect([...found.songAt.subarray(9)]).toEqual([9 * STEP, Number.NaN, Number.NaN]);
    expect(place(upTo(10), { overAt: 20 }).songMicros).toBe(9 * STEP);
  });

  test('of nothing it is nowhere', () => {
    expect(place([])).toMatchObject({ begunMicros: 0, toMicros: -1, heardUntil: -1 });
    expect(place([3])).toMatchObject({
      begunMicros: 3 * STEP,
      songMicros: 3 * STEP,
      toMicros: -1,
      heardUntil: -1,
    });
  });
});

test('pairs of a part: numbers in it; of another part none', () => {
  const known = { writtenOf: Int32Array.of(3, 4, 5, 6, 7, -1) } as SongPlace;
  const pairs = (from: number, to: number, count = 6) => [
    ...pairsIn(song(EVEN), { fromMicros: from, toMicros: to }, known, count),
  ];
  expect(pairs(4 * STEP, 6 * STEP)).toEqual([-1, 0, 1, 2, -1, -1]);
  expect(pairs(4 * STEP + 1, 6 * STEP - 1)).toEqual([-1, -1, 0, -1, -1, -1]);
  expect(pairs(0, Infinity, 3)).toEqual([3, 4, 5]);
});
