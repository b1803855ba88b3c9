import { expect, test } from 'vitest';
import type { HeardMusic } from '../../../src/core/compare/heard-music.ts';
import { momentPoints } from '../../../src/core/compare/moment-points.ts';
import type { WrittenMusic } from '../../../src/core/compare/written-music.ts';

/** Points of notes given by their moment and when each came; NaN: it did not. Song times are a thousand a note. */
function pointsOf(notes: readonly (readonly [moment: number, came: number])[]) {
  const came = notes.flatMap(([, at]) => (Number.isNaN(at) ? [] : [at]));
  const heardOf = new Int32Array(notes.length).fill(-1);
  let next = 0;
  for (const [note, [, at]] of notes.entries()) {
    if (Number.isNaN(at)) continue;
    heardOf[note] = next;
    next += 1;
  }
  const written = { count: notes.length, moment: Uint32Array.from(notes, ([moment]) => moment) };
  const {
    x,
    y,
    notes: firsts,
  } = momentPoints(
    Float64Array.from(notes, (_, n) => 1000 * n),
    written as WrittenMusic,
    { on: { micros: Float64Array.from(came) } } as HeardMusic,
    heardOf,
  );
  expect([...x]).toEqual([...firsts].map((note) => 1000 * note));
  expect([...y]).toEqual([...firsts].map((note) => notes[note]![1]));
  return [...firsts];
}

test('of each moment the note that came first, of equals the first that is written', () => {
  expect(
    pointsOf([
      [0, 5],
      [1, 8],
      [1, 7],
      [1, 9],
      [2, 20],
      [2, 20],
    ]),
  ).toEqual([0, 2, 4]);
  expect(
    pointsOf([
      [0, 9],
      [0, 8],
      [0, 7],
    ]),
  ).toEqual([2]);
});

test('of those that came; a moment of which none did has no point', () => {
  expect(
    pointsOf([
      [0, NaN],
      [0, 3],
      [1, NaN],
      [2, 6],
      [2, NaN],
      [2, 5],
    ]),
  ).toEqual([1, 5]);
  expect(pointsOf([[0, NaN]])).toEqual([]);
  expect(
    pointsOf([
      [0, NaN],
      [1, 3],
      [1, 5],
    ]),
  ).toEqual([1]);
  expect(pointsOf([])).toEqual([]);
});

test('up to six thousand points; of more moments every second, of more than twice as many every third', () => {
  const some = (count: number) => pointsOf(Array.from({ length: count }, (_, n) => [n, n] as const));
  expect(some(6000)).toHaveLength(6000);
  expect(some(6001).slice(0, 3)).toEqual([0, 2, 4]);
  expect(some(6001)).toHaveLength(3001);
  expect(some(12_001).slice(0, 3)).toEqual([0, 3, 6]);
  expect(some(12_001)).toHaveLength(4001);
});
