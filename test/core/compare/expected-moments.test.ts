import { expect, test } from 'vitest';
import { expectedMoments } from '../../../src/core/compare/expected-moments.ts';
import { seeded } from '../../support/seeded.ts';

const STEP = 1000;
const LINE = { start: 50, rate: 2 };

/** [written] when each is expected of notes a step apart, that came off the line by so much; not at all where it is NaN. */
function expected(offs: readonly number[], line = LINE): Float64Array {
  const times = Float64Array.from(offs, (_, n) => n * STEP);
  const heardAt = times.map((time, n) => line.start + line.rate * time + offs[n]!);
  const heardOf = Int32Array.from(offs, (off, n) => (Number.isNaN(off) ? -1 : n));
  return expectedMoments(times, heardAt, { heardOf }, line);
}
/** By how much each is moved off the line. */
const moved = (offs: readonly number[], line = LINE) =>
  Array.from(expected(offs, line), (moment, n) => moment - line.start - line.rate * n * STEP);

const many = (count: number, off: (n: number) => number) => Array.from({ length: count }, (_, n) => off(n));

test('nothing was heard: all is where the line puts it', () => {
  expect([...expected([Number.NaN, Number.NaN, Number.NaN])]).toEqual([50, 2050, 4050]);
  expect(expected([]).length).toBe(0);
});

test('of a few pairs the middle of what they are off moves all, those that were not heard as well', () => {
  expect(moved([5, 7, 900, 6, Number.NaN, 8])).toEqual(many(6, () => 7));
  expect(moved([3])).toEqual([3]);
  expect(moved([Number.NaN, 3, 4, Number.NaN])).toEqual(many(4, () => 4));
});

test('a jump is followed: each eighth pair has the middle of the 33 around it, and between two such places it goes evenly', () => {
  // Of the 33 around 48 fifteen are behind the jump, around 56 23: the places are four behind those, at 52 and 60.
  const found = moved(many(100, (n) => (n < 50 ? 0 : 800)));
  expect(found.slice(0, 53)).toEqual(many(53, () => 0));
  expect(found.slice(52, 61)).toEqual([0, 100, 200, 300, 400, 500, 600, 700, 800]);
  expect(found.slice(60)).toEqual(many(40, () => 800));
});

test('the middle of 33 is the seventeenth, from either side', () => {
  // Around 48 are 32 to 64: sixteen of before the fall, and seventeen of after it.
  const found = moved(many(100, (n) => (n < 48 ? 800 : 0)));
  expect(found.slice(44, 53)).toEqual([800, 700, 600, 500, 400, 300, 200, 100, 0]);
  expect(moved(many(100, (n) => (n < 49 ? 800 : 0))).slice(44, 53)).toEqual(many(9, () => 800));
});

test('of pairs that were heard: those that were not do not count', () => {
  // 200 notes, every second heard: as above, twice as far apart.
  const found = moved(many(200, (n) => (n % 2 === 1 ? Number.NaN : n < 100 ? 0 : 800)));
  expect(found.slice(103, 122)).toEqual([0, 0, ...many(15, (n) => 50 * (n + 1)), 800, 800]);
});

test('at both ends the 33 are the first and the last', () => {
  // Seventeen of the first 33: the places 4, 12 and 20 have it, and 28 has the rest.
  const first = moved(many(100, (n) => (n < 17 ? 800 : 0)));
  expect(first.slice(0, 21)).toEqual(many(21, () => 800));
  expect(first.slice(20, 29)).toEqual([800, 700, 600, 500, 400, 300, 200, 100, 0]);
  expect(moved(many(100, (n) => (n < 16 ? 800 : 0)))).toEqual(many(100, () => 0));
  // Seventeen of the last 33: around 80, at 84, they are 14 of 33; around 88 and 96 the middle is that of the last 33.
  const last = moved(many(100, (n) => (n < 83 ? 0 : 800)));
  expect(last.slice(84, 93)).toEqual([0, 100, 200, 300, 400, 500, 600, 700, 800]);
  expect(last.slice(92)).toEqual(many(8, () => 800));
  expect(moved(many(100, (n) => (n < 84 ? 0 : 800)))).toEqual(many(100, () => 0));
  // Of 97 the last 33 are those around 80 already; the last place is the last pair itself.
  const end = moved(many(97, (n) => (n < 80 ? 0 : 800)));
  expect(end.slice(76, 85)).toEqual([0, 100, 200, 300, 400, 500, 600, 700, 800]);
  expect(end.slice(84)).toEqual(many(13, () => 800));
});

test('a wrong pair here and there does no harm', () => {
  expect(moved(many(100, (n) => (n % 5 === 0 ? 90_000 : n % 7 === 0 ? -90_000 : 12)))).toEqual(
    many(100, () => 12),
  );
});

test('in whatever order notes stand, as under a law that changes it', () => {
  const chance = seeded(4);
  const offs = many(300, (n) => Math.floor(n / 40) * 130);
  const inOrder = expected(offs);
  const order = many(300, (n) => n).sort(() => chance() - 0.5);
  const times = Float64Array.from(order, (n) => n * STEP);
  const heardAt = times.map((time, n) => LINE.start + LINE.rate * time + offs[order[n]!]!);
  const found = expectedMoments(times, heardAt, { heardOf: Int32Array.from(order.keys()) }, LINE);
  expect([...found]).toEqual(order.map((n) => inOrder[n]));
});

test('of a quarter of a million pairs each ninth has a place', () => {
  // The jump stands at a pair that is a multiple of 72, so that one place is right on it, and the one before eight or nine before.
  const jump = 72_000;
  const around = (count: number) =>
    moved(
      many(count, (n) => (n < jump ? 0 : 720)),
      { start: 0, rate: 1 },
    ).slice(jump - 6, jump + 5);
  const even = (from: number, step: number) => many(11, (n) => Math.min(720, Math.max(0, (n - from) * step)));
  expect(around(240_000)).toEqual(even(2, 90));
  expect(around(240_001)).toEqual(even(1, 80));
});
