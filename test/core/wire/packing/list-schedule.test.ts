import fc from 'fast-check';
import { expect, test } from 'vitest';
import { ListSchedule } from '../../../../src/core/wire/packing/list-schedule.ts';
import { columnsOf } from '../columns-of.ts';
import { randomOptions, randomTraits } from '../random-packing.ts';
import { randomColumns } from '../random-song.ts';
import { plainSchedule } from './plain-schedule.ts';
import { stagesOf } from './stages.ts';

test('the schedule is the one that looking through all rows before each message gives', () => {
  fc.assert(
    fc.property(randomColumns, randomOptions, randomTraits, (written, options, traits) => {
      const stages = stagesOf(written, options, traits);
      // Chords are sorted in place: the plain one first.
      const plain = plainSchedule(stages);
      const { columns, moments, rules, starts, costs, settings } = stages;
      const { event, releaseMicros } = new ListSchedule(
        columns,
        moments,
        rules,
        starts,
        costs,
        traits,
        settings,
      );
      expect([...event]).toEqual(plain.event);
      expect([...releaseMicros]).toEqual(plain.releaseMicros);
    }),
    { numRuns: 120 },
  );
});

test('a chord is ordered by the programs in force: bass, the part with the top note, strings', () => {
  const { columns, moments, rules, starts, costs, traits, settings } = stagesOf(
    columnsOf(
      [0, 'C0 30', 'C1 20', 'C2 00'],
      [1_000_000, '90 3C 40', '91 3C 40', '92 3C 40'],
      [2_000_000, 'C1 30', 'C0 20'],
      [3_000_000, '90 3C 40', '91 3C 40', '92 3C 40'],
    ),
  );
  const { event } = new ListSchedule(columns, moments, rules, starts, costs, traits, settings);
  const notes = [...event].map((row) => columns.status[row]!).filter((status) => status < 0xa0);
  // Channel 1 was the bass; then it is the strings, and its status byte is not what the receiver holds.
  expect(notes).toEqual([0x91, 0x92, 0x90, 0x90, 0x92, 0x91]);
});
