import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { thin } from '../../../src/core/arrange/thin.ts';
import { THINNED_CONTROLLERS } from '../../../src/core/arrange/value-streams.ts';
import { isNoteOff, isNoteOn } from '../../../src/core/timeline/note-row.ts';
import type { TimelineColumns } from '../../../src/core/timeline/timeline.ts';
import { ChannelFold } from '../wire/channel-fold.ts';
import { columnsOf } from '../wire/columns-of.ts';
import { randomColumns } from '../wire/random-song.ts';

const dataOf = (columns: TimelineColumns) => Array.from(columns.data2.subarray(0, columns.count));

const sweep = (...values: number[]) =>
  columnsOf(
    ...values.map((value, i) => [i * 10_000, `B0 0B ${value.toString(16).padStart(2, '0')}`] as const),
  );

describe('thinning', () => {
  test('tolerance 0 leaves out only what says nothing new', () => {
    const columns = columnsOf(
      [0, 'B0 07 64', 'C0 05'],
      [1000, 'B0 07 64', 'C0 05', 'B0 0A 40'],
      [2000, 'B0 0A 41'],
    );
    const { columns: kept, reductions } = thin(columns, 0);
    expect(kept.count).toBe(4);
    expect(reductions).toEqual([
      { channel: 0, message: 'controller', number: 7, reason: 'repeated', count: 1 },
      { channel: 0, message: 'program', number: -1, reason: 'repeated', count: 1 },
    ]);
  });

  test('a program is no repetition once a bank was chosen', () => {
    expect(thin(columnsOf([0, 'C0 05', 'B0 00 01', 'C0 05']), 0).columns.count).toBe(3);
  });

  test('of values at one moment with no note between, the last is enough', () => {
    const { columns, reductions } = thin(columnsOf([0, 'E0 00 40', 'E0 00 50', 'E0 00 60']), 0);
    expect(dataOf(columns)).toEqual([0x60]);
    expect(reductions).toEqual([{ channel: 0, message: 'bend', number: -1, reason: 'superseded', count: 2 }]);
    expect(thin(columnsOf([0, 'E0 00 40', '90 3C 40', 'E0 00 50']), 0).columns.count).toBe(3);
  });

  test('a sweep keeps the steps that matter and the value it comes to rest on', () => {
    expect(dataOf(thin(sweep(64, 65, 66, 67, 68, 69), 2).columns)).toEqual([64, 67, 69]);
    expect(dataOf(thin(sweep(64, 65), 2).columns)).toEqual([64, 65]);
  });

  test('a value that stays is meant, however small the step', () => {
    const columns = columnsOf([0, 'B0 0B 40'], [10_000, 'B0 0B 41'], [100_000, 'B0 0B 42']);
    expect(dataOf(thin(columns, 5).columns)).toEqual([0x40, 0x41, 0x42]);
  });

  test('pedals, banks, data entry and parameter numbers are never touched', () => {
    const untouched = [
      'B0 40 7F',
      'B0 40 7F',
      'B0 00 01',
      'B0 00 01',
      'B0 65 00',
      'B0 65 00',
      'B0 06 02',
      'B0 06 02',
    ];
    expect(thin(columnsOf([0, ...untouched]), 10).columns.count).toBe(untouched.length);
  });

  test('a controller whose fine half is in use is left alone: its coarse half resets the fine one', () => {
    expect(thin(columnsOf([0, 'B0 07 40', 'B0 27 10', 'B0 07 40']), 10).columns.count).toBe(3);
  });

  test('after a reset or mode message nothing is known to repeat', () => {
    expect(thin(columnsOf([0, 'B0 0B 40', 'B0 79 00', 'B0 0B 40']), 0).columns.count).toBe(3);
  });

  test('partners still point at one another', () => {
    const { columns } = thin(
      columnsOf([0, '90 3C 40', 'B0 07 40', 'B0 07 40'], [1000, 'B0 07 40', '80 3C 00']),
      0,
    );
    expect(columns.count).toBe(3);
    expect(columns.partner[0]).toBe(2);
    expect(columns.partner[2]).toBe(0);
  });
});

describe('thinning any song', () => {
  const tolerance = fc.constantFrom(0, 1, 2, 8);

  test('every note begins in exactly the state it had', () => {
    fc.assert(
      fc.property(randomColumns, tolerance, (columns, steps) => {
        const thinned = thin(columns, steps).columns;
        const states = (from: TimelineColumns) => {
          const fold = new ChannelFold();
          for (let row = 0; row < from.count; row++) fold.take(from, row);
          return [[...fold.onsets.values()], [...fold.releases.values()], fold.end()];
        };
        expect(states(thinned)).toEqual(states(columns));
      }),
      { numRuns: 250 },
    );
  });

  test('no value is ever further off than the tolerance, once its moment is over', () => {
    const flow = fc.array(
      fc.tuple(fc.constantFrom(0, 2000, 30_000, 80_000), fc.integer({ min: 60, max: 72 })),
      {
        maxLength: 40,
      },
    );
    fc.assert(
      fc.property(flow, tolerance, (steps, most) => {
        let micros = 0;
        const columns = columnsOf(
          ...steps.map(([wait, value]) => {
            micros += wait;
            return [micros, `B0 0B ${value.toString(16)}`] as const;
          }),
        );
        const { dropped } = thin(columns, most);
        let sent = -1;
        for (let row = 0; row < columns.count; row++) {
          if (!dropped.includes(row)) sent = columns.data2[row]!;
          if (columns.micros[row + 1] === columns.micros[row]) continue;
          expect(Math.abs(sent - columns.data2[row]!)).toBeLessThanOrEqual(most);
        }
      }),
    );
  });

  test('what is left out is counted, and is of a kind that may be', () => {
    fc.assert(
      fc.property(randomColumns, tolerance, (columns, steps) => {
        const { columns: kept, dropped, reductions } = thin(columns, steps);
        expect(kept.count + dropped.length).toBe(columns.count);
        expect(reductions.reduce((sum, one) => sum + one.count, 0)).toBe(dropped.length);
        for (const row of dropped) {
          expect(isNoteOn(columns, row) || isNoteOff(columns, row) || columns.status[row]! >= 0xf0).toBe(
            false,
          );
          const isController = (columns.status[row]! & 0xf0) === 0xb0;
          if (isController) expect(THINNED_CONTROLLERS.has(columns.data1[row]!)).toBe(true);
        }
      }),
    );
  });
});
