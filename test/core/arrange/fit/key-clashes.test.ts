import { expect, test } from 'vitest';
import { KeyClashes } from '../../../../src/core/arrange/fit/key-clashes.ts';
import { type TimedBytes, timelineOf } from '../../../support/timeline-of.ts';

/** Rows 0 and 1 struck on keys of their own, let go with rows 2 and 3; rows 4 and 6 a note behind both. */
const COLUMNS = timelineOf([
  [0, 0x90, 60, 64],
  [1, 0x90, 48, 64],
  [2, 0x80, 60, 0],
  [3, 0x80, 48, 0],
  [4, 0x90, 50, 64],
  [5, 0x80, 50, 0],
] satisfies TimedBytes[]);

/** Notes by row, each put on a key of a channel, moved there or not. */
function losers(...notes: readonly [row: number, channel: number, key: number, isMoved: boolean][]) {
  const clashes = new KeyClashes(COLUMNS);
  const stay = notes.map((note) => clashes.add(...note));
  return { stay, losers: clashes.losers() };
}

test('of two that would sound on one key the one that was moved gives way, the later one of two moved', () => {
  expect(losers([0, 0, 60, false], [1, 0, 60, true])).toEqual({ stay: [true, false], losers: [1] });
  expect(losers([0, 0, 60, true], [1, 0, 60, false])).toEqual({ stay: [true, true], losers: [0] });
  expect(losers([0, 0, 60, true], [1, 0, 60, true])).toEqual({ stay: [true, false], losers: [1] });
  expect(losers([0, 0, 60, false], [1, 0, 60, false])).toEqual({ stay: [true, true], losers: [] });
});

test('behind the end of one, on another channel and on another key there is room', () => {
  expect(losers([0, 0, 60, false], [4, 0, 60, true]).losers).toEqual([]);
  expect(losers([0, 0, 60, false], [1, 1, 60, true]).losers).toEqual([]);
  expect(losers([0, 0, 61, false], [1, 0, 60, true]).losers).toEqual([]);
  // The last key of a channel is not the first of the next.
  expect(losers([0, 0, 127, false], [1, 1, 0, true], [4, 1, 127, true]).losers).toEqual([]);
  expect(losers([0, 0, 1, false], [1, 1, 0, true]).losers).toEqual([]);
});
