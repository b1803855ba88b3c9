import { expect, test } from 'vitest';
import { onsetLatenessOf } from '../../../src/core/wire/onset-lateness.ts';
import { simulatePlan } from '../../../src/core/wire/simulate-plan.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

// A message of three bytes takes 960 µs, of two 640.
const MESSAGES: readonly TimedBytes[] = [
  [100_000, 0xb0, 7, 100],
  [100_000, 0x90, 60, 64], // ends 960 + 960 late
  [200_000, 0x80, 60, 64],
  [300_000, 0x91, 62, 64],
  [400_000, 0x92, 64, 64],
];
/** The third note is handed over 10 ms early, the fourth 19,040 µs and the fourth 1 µs more late. */
const latenessOf = (audibleChannels: number, extra = 0) => {
  const plan = planOf(timelineOf(MESSAGES), new Map([[3, 290_000], [4, 419_040 + extra]])); // biome-ignore format: pairs
  return onsetLatenessOf(simulatePlan(plan, MIDI_WIRE, { audibleChannels }));
};

test('of three notes: 1920 µs late, 9040 µs early, 20 ms late', () => {
  expect(latenessOf(0xffff)).toEqual({
    onsets: 3,
    worstMicros: 20_000,
    worstSongMicros: 400_000,
    worstEvent: 4,
    rmsMicros: Math.sqrt((1920 ** 2 + 9040 ** 2 + 20_000 ** 2) / 3),
    earliestMicros: -9040,
    distanceMicros: 20_000,
    over20ms: 0, // more than 20 ms is heard
  });
  expect(latenessOf(0xffff, 1).over20ms).toBe(1);
});

test('one that nobody hears is never late', () => {
  expect(latenessOf(0b011)).toMatchObject({
    onsets: 2,
    worstMicros: 1920,
    worstSongMicros: 100_000,
    worstEvent: 1,
    earliestMicros: -9040,
    distanceMicros: 9040,
  });
});

test('all of them early: the latest is the least early', () => {
  expect(latenessOf(0b010)).toMatchObject({
    onsets: 1,
    worstMicros: -9040,
    earliestMicros: -9040,
    worstEvent: 3,
  });
});

test('no notes at all', () => {
  expect(latenessOf(0)).toEqual({
    onsets: 0,
    worstMicros: 0,
    worstSongMicros: 0,
    worstEvent: -1,
    rmsMicros: 0,
    earliestMicros: 0,
    distanceMicros: 0,
    over20ms: 0,
  });
});
