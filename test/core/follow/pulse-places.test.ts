import { expect, test } from 'vitest';
import { nearestPulse, songAtPulse } from '../../../src/core/follow/pulse-places.ts';

/** A song that becomes slower: its pulses 10 µs apart, then 20. */
const TABLE = Float64Array.of(0, 10, 20, 40, 60);

test.each([
  [-3, 0],
  [0, 0],
  [2, 20],
  [4, 60],
  [5, 80], // behind the end the last tempo goes on
  [14, 260],
])('pulse %i is at %i µs of the song', (pulse, micros) => {
  expect(songAtPulse(TABLE, pulse)).toBe(micros);
});

test('a song of one pulse goes on at 120 quarter notes a minute, 24 pulses each', () => {
  const one = Float64Array.of(7);
  expect([0, 1, 24].map((pulse) => songAtPulse(one, pulse))).toEqual([7, 7 + 500_000 / 24, 500_007]);
});

test.each([
  [-9, 0],
  [0, 0],
  [4, 0],
  [6, 1],
  [14, 1],
  [20, 2],
  [29, 2],
  [31, 3],
  [49, 3],
  [51, 4],
  [60, 4],
  [999, 4],
])('%i µs of the song are nearest to pulse %i', (micros, pulse) => {
  expect(nearestPulse(TABLE, micros)).toBe(pulse);
});
