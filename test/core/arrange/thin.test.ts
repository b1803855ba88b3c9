import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { thin } from '../../../src/core/arrange/thin.ts';
import { THINNED_CONTROLLERS } from '../../../src/core/arrange/value-streams.ts';
import { Cc, CONTROLLERS } from '../../../src/core/midi/controllers.ts';
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

describe('what may be thinned', () => {
  test('continuous controllers that act at once; none that speaks of a note to come, and none that is a button', () => {
    const apart: readonly number[] = [
      ...[Cc.bankSelect, Cc.dataEntry, Cc.portamentoTime, Cc.portamentoControl, Cc.velocityPrefix],
      // General purpose 5 to 8 are switches as often (common practice, no source).
      ...[80, 81, 82, 83],
    ];
    const continuous = CONTROLLERS.filter(({ kind }) => kind === 'coarse' || kind === 'seven-bit');
    expect([...THINNED_CONTROLLERS].sort((a, b) => a - b)).toEqual(
      continuous.map(({ number }) => number).filter((number) => !apart.includes(number)),
    );
  });

  /** Rows of one moment that are left out, by place. */
  const left = (tolerance: number, ...moments: Parameters<typeof columnsOf>) => [
    ...thin(columnsOf(...moments), tolerance).dropped,
  ];

  test('each controller, key, channel and kind by itself', () => {
    const once = [
      'B0 07 40',
      'B0 0B 40',
      'B1 07 40',
      'A0 3C 40',
      'A0 3D 40',
      'A1 3C 40',
      'D0 40',
      'D1 40',
      'E0 00 40',
      'A0 79 40',
      'A0 7F 40',
      'B0 01 40',
    ];
    expect(
      left(0, [0, ...once], [1_000_000, 'E1 00 40', 'BF 07 40', 'AF 7F 40', 'DF 40', 'EF 00 40']),
    ).toEqual([]);
    for (const message of [...once, 'E1 00 40', 'BF 07 40', 'AF 7F 40', 'DF 40', 'EF 00 40']) {
      expect(left(0, [0, message], [1_000_000, message]), message).toEqual([1]);
      expect(left(0, [0, message, message]), message).toEqual([0]);
    }
    expect(left(0, [0, 'CF 05'], [1, 'CF 05'], [2, 'CE 05'], [3, 'CF 06'], [4, 'CF 05'])).toEqual([1]);
  });

  test('bends go by their fine half as well, pressure by its only one', () => {
    expect(left(0, [0, 'E0 00 40'], [100_000, 'E0 01 40'], [200_000, 'E0 01 40'])).toEqual([2]);
    // A step of 128 is one of the coarse half: 127 of its 128 parts are within one step, 128 as well, 129 not.
    const from = (second: string) => left(1, [0, 'E0 00 40'], [10_000, second], [20_000, 'E0 00 50']);
    expect([from('E0 7F 40'), from('E0 00 41'), from('E0 01 41'), from('E0 7F 3F')]).toEqual([
      [1],
      [1],
      [],
      [1],
    ]);
    const pressed = (second: string) => left(1, [0, 'D0 40'], [10_000, second], [20_000, 'D0 50']);
    expect([pressed('D0 41'), pressed('D0 3F'), pressed('D0 42')]).toEqual([[1], [1], []]);
  });

  test('a value another follows within a twentieth of a second was passing through', () => {
    const waits = (micros: number) => left(1, [0, 'B0 0B 40'], [1, 'B0 0B 41'], [1 + micros, 'B0 0B 50']);
    expect([waits(50_000), waits(50_001)]).toEqual([[1], []]);
    // The first of all is sent, also where it is as good as nothing.
    expect(left(1, [0, 'B0 0B 00'], [1, 'B0 0B 50'])).toEqual([]);
  });

  test('a controller whose fine half the channel uses is not touched, from the first to the last there is', () => {
    const twice = (fine: string, coarse: string) => left(9, [0, fine, coarse], [1_000_000, coarse]);
    expect(twice('B0 21 00', 'B0 01 40')).toEqual([]);
    expect(twice('B0 33 00', 'B0 13 40')).toEqual([]);
    expect(twice('BF 27 00', 'BF 07 40')).toEqual([]);
    expect(twice('B1 27 00', 'B0 07 40')).toEqual([2]);
    expect(twice('B0 28 00', 'B0 07 40')).toEqual([2]);
    // Notes and others are no controllers; 64 and more are no fine halves.
    expect(twice('90 27 40', 'B0 07 40')).toEqual([2]);
    expect(twice('B0 66 40', 'B0 46 40')).toEqual([2]);
  });

  test('a mode message makes its channel unknown, a system message all of them', () => {
    // A note has sent what waited.
    const behind = (between: string, ...rest: string[]) =>
      left(
        0,
        [0, 'BF 07 40', 'CF 05', 'AF 7F 10', '9F 3C 40'],
        [1, between],
        [2, 'BF 07 40', 'CF 05', 'AF 7F 10', ...rest],
      );
    for (const mode of ['78', '79', '7A', '7B', '7C', '7D', '7E', '7F']) {
      expect(behind(`BF ${mode} 00`), mode).toEqual([6]);
      expect(behind(`BE ${mode} 00`), mode).toEqual([5, 6, 7]);
    }
    expect(behind('BF 77 00')).toEqual([5, 6, 7]);
    expect(behind('F0 7D 01 F7')).toEqual([]);
    expect(behind('F7 01')).toEqual([]);
    expect(left(0, [0, 'B0 07 40', 'C0 05'], [1, 'F0 7D F7'], [2, 'B0 07 40', 'C0 05'])).toEqual([]);
    // What waits goes out before it.
    expect(left(5, [0, 'B0 0B 40'], [1, 'B0 0B 41'], [2, 'B0 79 00'], [3, 'B0 0B 41'])).toEqual([]);
  });

  test('a bank, coarse or fine, makes the next program news', () => {
    const banked = (bank: string) => left(0, [0, 'C3 05'], [1, bank], [2, 'C3 05'], [3, 'C3 05']);
    expect([banked('B3 00 01'), banked('B3 20 01'), banked('B2 00 01'), banked('B3 07 01')]).toEqual([
      [3],
      [3],
      [2, 3],
      [2, 3],
    ]);
  });

  test('a note finds the value it was meant to find: what waits on its channel goes out', () => {
    const at = (note: string) =>
      left(5, [0, 'B0 0B 40'], [1, 'B0 0B 41'], [2, note], [3, 'B0 0B 42'], [4, 'B0 0B 50']);
    expect(at('90 3C 40')).toEqual([3]);
    expect([at('91 3C 40'), at('90 3C 00'), at('80 3C 40')]).toEqual([
      [1, 3],
      [1, 3],
      [1, 3],
    ]);
    // Back to what was sent is no news, once what waited is dropped for it.
    expect(
      left(5, [0, 'B0 0B 40'], [1, 'B0 0B 41'], [2, 'B0 0B 40'], [3, '90 3C 40'], [4, 'B0 0B 41']),
    ).toEqual([1, 2]);
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
