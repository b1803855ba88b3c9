import { expect, test } from 'vitest';
import { peakCurveOf } from '../../../src/core/report/peak-curve.ts';
import { simulatePlan } from '../../../src/core/wire/simulate-plan.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

const SECOND = 1_000_000;

/** Four stretches of a second. */
function curve(rows: readonly TimedBytes[]): number[] {
  const run = simulatePlan(planOf(timelineOf(rows)), MIDI_WIRE);
  return peakCurveOf(run, 4 * SECOND, 4);
}

test('the highest share of a tenth of a second, in each stretch: three bytes of 320 µs are 0.96 hundredths of it', () => {
  const note = (at: number, channel: number): TimedBytes => [at, 0x90 | channel, 60, 64];
  const close = (a: number, b: number) => expect(a).toBeCloseTo(b, 9);
  const one = curve([note(0.5 * SECOND, 0)]);
  close(one[0]!, 0.0096);
  expect(one.slice(1)).toEqual([0, 0, 0]);
  const more = curve([note(0, 0), note(2.5 * SECOND, 1), note(2.55 * SECOND, 2), note(2.9 * SECOND, 3)]);
  close(more[0]!, 0.0096);
  close(more[2]!, 0.0192);
  expect([more[1], more[3]]).toEqual([0, 0]);
});

test('what ends behind the song counts to its last stretch', () => {
  expect(curve([[4 * SECOND, 0xc0, 1]])).toEqual([0, 0, 0, (2 * 320) / 100_000]);
});
