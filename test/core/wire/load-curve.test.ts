import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { loadCurveOf } from '../../../src/core/wire/load-curve.ts';
import { simulatePlan } from '../../../src/core/wire/simulate-plan.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

/** The curve, in windows of 1000 µs, of messages in file order; some handed over at another time. */
function curveOf(messages: readonly TimedBytes[], releases?: [number, number][]) {
  const run = simulatePlan(planOf(timelineOf(messages), new Map(releases)), MIDI_WIRE);
  return { run, curve: loadCurveOf(run, 1000) };
}

describe('the load of a run, window by window', () => {
  test('by hand: 960 µs from 500 on, and 640 behind it', () => {
    const { curve } = curveOf([
      [500, 0x90, 60, 1],
      [500, 0x90, 61, 1],
      [4000, 0xc0, 1],
    ]);
    // 500 of the first window; 460 + 540 of the second; 100 of the third; nothing; 640.
    expect([...curve]).toEqual([0.5, 1, 0.1, 0, 0.64].map(Math.fround));
  });

  test('what is sent before the song begins counts in the first window', () => {
    const { curve } = curveOf([[0, 0xc0, 1], [0, 0x90, 60, 1]], [[0, -5000]]); // biome-ignore format: pairs
    expect([...curve]).toEqual([0.64 + 0.96].map(Math.fround));
  });

  test('a run of nothing has one empty window', () => {
    expect([...curveOf([]).curve]).toEqual([0]);
  });

  test('of any run: the time in each window that a message is on the wire', () => {
    const message = fc.tuple(fc.integer({ min: 0, max: 12_000 }), fc.constantFrom([0x90, 60, 1], [0xc1, 5]));
    fc.assert(
      fc.property(fc.array(message, { minLength: 1, maxLength: 15 }), (list) => {
        const { run, curve } = curveOf(list.map(([micros, bytes]): TimedBytes => [micros, ...bytes]));
        expect(curve.length).toBe(Math.ceil(run.wireEndMicros / 1000));
        for (const [window, load] of curve.entries()) {
          const inside = Array.from(run.startMicros, (start, i) =>
            Math.max(0, Math.min(run.endMicros[i]!, 1000 * window + 1000) - Math.max(start, 1000 * window)),
          );
          expect(load).toBeCloseTo(inside.reduce((sum, one) => sum + one, 0) / 1000, 5);
        }
      }),
    );
  });
});
