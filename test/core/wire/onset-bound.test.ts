import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { onsetBound } from '../../../src/core/wire/onset-bound.ts';
import { onsetLatenessOf } from '../../../src/core/wire/onset-lateness.ts';
import { packedPlan } from '../../../src/core/wire/packed-plan.ts';
import { simulatePlan } from '../../../src/core/wire/simulate-plan.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { columnsOf } from './columns-of.ts';
import { randomColumns } from './random-song.ts';

const WHOLE = { ...MIDI_WIRE, runningStatus: 'device' as const };

describe('the onset bound, by hand', () => {
  test('one note: three bytes', () => {
    const bound = onsetBound(columnsOf([5000, '90 3C 40']), MIDI_WIRE);
    expect(bound).toEqual({ worstMicros: 960, worstSongMicros: 5000, rmsMicros: 960 });
  });

  test('only note-ons count: not their offs, not velocity 0, not what sets a channel up', () => {
    const columns = columnsOf([0, 'C0 05', 'B0 07 64', '90 30 00', '90 3C 40'], [10, '80 3C 40', '90 3C 00']);
    expect(onsetBound(columns, MIDI_WIRE).worstMicros).toBe(960);
  });

  test('without note-ons there is nothing to be late', () => {
    const nothing = { worstMicros: 0, worstSongMicros: 0, rmsMicros: 0 };
    expect(onsetBound(columnsOf([5000, 'B0 07 40']), MIDI_WIRE)).toEqual(nothing);
    expect(onsetBound(columnsOf(), MIDI_WIRE)).toEqual(nothing);
  });

  test('the channel whose status the receiver holds goes first: 2 + 3 bytes', () => {
    const columns = columnsOf([0, '91 3C 40'], [1_000_000, '90 3C 40', '91 40 40']);
    expect(onsetBound(columns, MIDI_WIRE)).toMatchObject({
      worstMicros: 5 * 320,
      worstSongMicros: 1_000_000,
    });
    expect(onsetBound(columns, WHOLE).worstMicros).toBe(6 * 320);
  });

  test('at one moment channels are grouped, however the file mixes them: 3 + 2 + 3 + 2 bytes', () => {
    const columns = columnsOf([0, '90 3C 40', '91 3C 40', '90 40 40', '91 40 40']);
    expect(onsetBound(columns, MIDI_WIRE).worstMicros).toBe(10 * 320);
  });

  test('what has not been sent makes the next moment late: 3 + 2 + 2 bytes, then 3 more', () => {
    const columns = columnsOf([0, '90 3C 40', '90 40 40', '90 43 40'], [1000, '91 3C 40']);
    const bound = onsetBound(columns, MIDI_WIRE);
    expect(bound.worstMicros).toBe(7 * 320);
    // Ends 960, 1600, 2240 after 0, and 3200 − 1000 after the second moment.
    expect(bound.rmsMicros).toBeCloseTo(Math.sqrt((960 ** 2 + 1600 ** 2 + 2240 ** 2 + 2200 ** 2) / 4), 9);
  });

  test('a receiver’s gap lies between notes, and not behind the last', () => {
    const columns = columnsOf([0, '90 3C 40', '90 40 40']);
    expect(onsetBound(columns, { ...MIDI_WIRE, gapMicros: 500 }).worstMicros).toBe(960 + 500 + 640);
  });
});

test('no plan without early notes beats it, but for the status bytes that another order of channels saves', () => {
  fc.assert(
    fc.property(randomColumns, (columns) => {
      const packed = onsetLatenessOf(simulatePlan(packedPlan(columns, MIDI_WIRE), MIDI_WIRE));
      const moments = new Set(columns.micros.subarray(0, columns.count)).size;
      expect(packed.worstMicros).toBeGreaterThanOrEqual(
        onsetBound(columns, MIDI_WIRE).worstMicros - 320 * moments,
      );
    }),
  );
});
