import fc from 'fast-check';
import { expect, test } from 'vitest';
import { onsetLatenessOf } from '../../../src/core/wire/onset-lateness.ts';
import { packedPlan } from '../../../src/core/wire/packed-plan.ts';
import { simulatePlan } from '../../../src/core/wire/simulate-plan.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { columnsOfRows } from './columns-of.ts';

const BYTE = 320;

interface Chord {
  readonly due: number;
  readonly notes: number;
}

/**
 * The smallest distance from due, early or late, that any order-keeping sending of these chords can have: every note
 * of a chord one after another, none farther from its moment than `distance`, is possible or not, and halving finds
 * where that turns. (Nothing of the packing is used: only how long a chord of other channel than the last one is.)
 */
function leastDistance(chords: readonly Chord[]): number {
  const first = 3 * BYTE;
  const isPossible = (distance: number) => {
    let free = Number.NEGATIVE_INFINITY;
    return chords.every(({ due, notes }) => {
      free = Math.max(free, due - first - distance) + (2 * notes + 1) * BYTE;
      return free - due <= distance;
    });
  };
  let [low, high] = [0, 1e7];
  while (high - low > 0.5) {
    const middle = (low + high) / 2;
    if (isPossible(middle)) high = middle;
    else low = middle;
  }
  return high;
}

test('with early notes allowed, no sending in order is nearer to the moments than the plan', () => {
  const chord = fc.record({ gap: fc.integer({ min: 1, max: 9000 }), notes: fc.integer({ min: 1, max: 12 }) });
  fc.assert(
    fc.property(fc.array(chord, { minLength: 1, maxLength: 12, size: 'max' }), (list) => {
      let due = 1_000_000;
      const chords = list.map(({ gap, notes }): Chord => {
        due += gap;
        return { due, notes };
      });
      const columns = columnsOfRows(
        chords.flatMap(({ due: micros, notes }, i) =>
          Array.from({ length: notes }, (_, n) => ({ micros, bytes: [0x90 | (i % 9), 30 + n + 3 * i, 64] })),
        ),
      );
      const plan = packedPlan(columns, MIDI_WIRE, { earlyMicros: 900_000 });
      const { distanceMicros } = onsetLatenessOf(simulatePlan(plan, MIDI_WIRE));
      expect(Math.abs(distanceMicros - leastDistance(chords))).toBeLessThan(2);
    }),
    { numRuns: 300 },
  );
});
