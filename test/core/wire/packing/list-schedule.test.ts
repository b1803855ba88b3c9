import fc from 'fast-check';
import { expect, test } from 'vitest';
import { ListSchedule } from '../../../../src/core/wire/packing/list-schedule.ts';
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
