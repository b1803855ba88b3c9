import { describe, expect, test } from 'vitest';
import { assignParts } from '../../../../src/core/arrange/fit/assign-parts.ts';
import type { PartStretch } from '../../../../src/core/arrange/fit/part-stretches.ts';

/** Rows are told by their time: row 7 is at 7 µs. */
const timeOf = (row: number) => row;

type Told = [leader: number, sound: number, from: number, to: number, ...notes: number[]];
const stretches = (...told: Told[]): PartStretch[] =>
  told.map(([leader, sound, startRow, endRow, ...notes]) => ({ leader, sound, startRow, endRow, notes }));

function assigned(channels: number[], pause: number, all: readonly PartStretch[], worth?: number[]) {
  return assignParts(all, channels, pause, timeOf, worth && Float64Array.from(worth)).map(
    ({ channel, setUpAfter, stretch: { leader, startRow, endRow, notes } }) => ({
      ...{ leader, channel, after: setUpAfter },
      ...{ from: startRow, to: endRow, notes: notes.join() },
    }),
  );
}
/** Leader and channel of each, as far as one asks for no more. */
const channelsOf = (channels: number[], pause: number, all: readonly PartStretch[], worth?: number[]) =>
  assigned(channels, pause, all, worth).map(({ leader, channel }) => [leader, channel]);

describe('stretches on channels', () => {
  test('each on its own where it may be, else on one that is free', () => {
    const together = stretches([4, 0, 0, 10, 0], [5, 1, 0, 10, 1], [6, 2, 0, 10, 2]);
    expect(channelsOf([6, 5, 4], 0, together)).toEqual([
      [4, 4],
      [5, 5],
      [6, 6],
    ]);
    expect(channelsOf([6, 5, 0], 0, together)).toEqual([
      [4, 6],
      [5, 5],
      [6, 0],
    ]);
    expect(assigned([6, 5, 0], 0, together).map(({ after }) => after)).toEqual([-1, -1, -1]);
  });

  test('where its part was before, then its own, then one nobody had, then the first', () => {
    // What is worth nothing makes setting up free: a part that could go on may as well be set up again, and then it
    // comes back to where it was, though another channel is free and unused.
    const back = stretches([0, 0, 0, 9, 0], [1, 1, 0, 10, 1], [0, 0, 13, 24, 2], [1, 1, 13, 19, 3]);
    expect(channelsOf([5, 6], 4, back, [8, 0, 3, 6])).toEqual([
      [0, 5],
      [0, 5],
      [1, 6],
    ]);
    // Another sound of the same leader is another part, and another leader of one sound is one.
    const others = stretches([3, 0, 0, 10, 0], [2, 1, 0, 10, 1], [2, 0, 20, 30, 2], [3, 1, 40, 50, 3]);
    expect(channelsOf([3, 2], 0, others)).toEqual([
      [3, 3],
      [2, 2],
      [2, 2],
      [3, 3],
    ]);
    expect(channelsOf([7, 8], 0, stretches([1, 0, 0, 10, 0], [2, 0, 20, 30, 1], [3, 0, 40, 50, 2]))).toEqual([
      [1, 7],
      [2, 8],
      [3, 7],
    ]);
  });

  test('a channel is free when its last stretch is over, by so long as the pause is', () => {
    const one = stretches([1, 0, 0, 10, 0], [2, 1, 15, 30, 1]);
    expect(assigned([0], 5, one)).toEqual([
      { leader: 1, channel: 0, after: -1, from: 0, to: 10, notes: '0' },
      { leader: 2, channel: 0, after: 10, from: 15, to: 30, notes: '1' },
    ]);
    expect(channelsOf([0], 6, one)).toEqual([[1, 0]]);
    // Taking the other would let a third play as well.
    expect(channelsOf([0], 6, [...one, ...stretches([2, 1, 30, 40, 2])])).toEqual([[2, 0]]);
  });

  test('by notes, or by what they are worth', () => {
    const clash = stretches([1, 0, 0, 10, 0, 1], [2, 1, 5, 30, 2]);
    expect(channelsOf([0], 0, clash)).toEqual([[1, 0]]);
    expect(channelsOf([0], 0, clash, [1, 1, 3])).toEqual([[2, 0]]);
    expect(channelsOf([0], 0, clash, [1, 1, 1.9])).toEqual([[1, 0]]);
  });

  test('one place goes on with a part without being set up again: its stretches are one', () => {
    const part = stretches([1, 0, 0, 10, 0], [1, 0, 12, 20, 1, 2], [1, 0, 25, 30, 3]);
    expect(assigned([0], 100, part)).toEqual([
      { leader: 1, channel: 0, after: -1, from: 0, to: 30, notes: '0,1,2,3' },
    ]);
    // A note that lasts into the next stretch keeps the end it had.
    const long = stretches([1, 0, 0, 30, 0], [1, 0, 30, 31, 1]);
    expect(assigned([0], 0, long)[0]).toMatchObject({ from: 0, to: 31, notes: '0,1' });
    // What was given is not changed.
    expect(part.map(({ endRow, notes }) => [endRow, notes.length])).toEqual([
      [10, 1],
      [20, 2],
      [30, 1],
    ]);
  });

  test('another part between ends that: it is set up twice', () => {
    const between = stretches([1, 0, 0, 10, 0], [2, 1, 12, 20, 1, 3], [1, 0, 25, 30, 2]);
    expect(assigned([0], 2, between).map(({ leader, after, notes }) => [leader, after, notes])).toEqual([
      [1, -1, '0'],
      [2, 10, '1,3'],
      [1, 20, '2'],
    ]);
  });

  test('setting up costs half of the least there is: going over and back for the least gains nothing', () => {
    const there = (second: number) =>
      channelsOf(
        [0],
        0,
        stretches([1, 0, 0, 10, 0], [2, 1, 10, 20, 1], [1, 0, 20, 30, 2], [3, 2, 90, 95, 3]),
        [5, second, 5, 1],
      ).map(([leader]) => leader);
    expect(there(1.1)).toEqual([1, 2, 1, 3]);
    expect(there(1)).toEqual([1, 3]);
    // Nothing of what was said of the worth holds for notes: each is one.
    expect(channelsOf([0], 0, stretches([1, 0, 0, 10, 0], [2, 1, 10, 20, 1], [1, 0, 20, 30, 2])).length).toBe(
      1,
    );
  });

  test('a stretch without length takes its moment', () => {
    const two = stretches([1, 0, 5, 5, 0], [2, 1, 5, 5, 1]);
    expect(channelsOf([0], 0, two).length).toBe(1);
    expect(channelsOf([0, 1], 0, two).length).toBe(2);
    expect(channelsOf([0], 0, stretches([1, 0, 5, 5, 0], [2, 1, 6, 7, 1])).length).toBe(2);
  });
});
