import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  CHANNELS,
  channelQueuesOf,
  FENCE,
  LOOSE,
  NEEDED,
  ONSET,
  QUEUES,
} from '../../../../src/core/wire/packing/channel-queues.ts';
import { NO_ROW, RowKind } from '../../../../src/core/wire/packing/row-rules.ts';
import { randomOptions } from '../random-packing.ts';
import { randomColumns } from '../random-song.ts';
import { stagesOf } from './stages.ts';

test('each channel has its rows in four queues, SysEx in one, and none is handed over before what it must follow', () => {
  fc.assert(
    fc.property(randomColumns, randomOptions, fc.array(fc.nat(9)), (written, options, patience) => {
      const { columns, rules, starts } = stagesOf(written, options);
      const rows = Array.from({ length: columns.count }, (_, row) => row);
      const patienceOf = (row: number) =>
        columns.micros[row]! + 10_000 * (patience[row % patience.length] ?? 0);
      const queues = channelQueuesOf(columns, rules, starts, patienceOf);
      const chain = (first: number) => {
        const found: number[] = [];
        for (let row = first; row !== NO_ROW; row = queues.next[row]!) found.push(row);
        return found;
      };
      const isBarrier = (row: number) => rules.kind[row] === RowKind.barrier;
      const isFence = (row: number) => rules.kind[row] === RowKind.fence;
      const channelOf = (row: number) => columns.status[row]! & 15;
      const kindOf = (row: number) => {
        if (rules.kind[row] === RowKind.onset) return ONSET;
        if (isFence(row)) return FENCE;
        return starts.deadline[row]! < patienceOf(row) ? NEEDED : LOOSE;
      };
      expect(chain(queues.barrier)).toEqual(rows.filter(isBarrier));
      for (let channel = 0; channel < CHANNELS; channel += 1)
        for (const kind of [NEEDED, LOOSE, FENCE, ONSET]) {
          const own = rows.filter(
            (row) => !isBarrier(row) && channelOf(row) === channel && kindOf(row) === kind,
          );
          expect(chain(queues.head[channel * QUEUES + kind]!)).toEqual(own);
          for (const row of own) expect(queues.queueOf[row]).toBe(channel * QUEUES + kind);
        }
      // What a row follows: a fence all of its channel, a barrier all there is, the others fences and barriers.
      for (const row of rows) {
        const follows = rows.slice(0, row).filter((before) => {
          if (rules.kind[row] === RowKind.onset) return false;
          const isNear = isBarrier(before) || isBarrier(row) || channelOf(before) === channelOf(row);
          return isNear && (isFence(row) || isBarrier(row) || isFence(before) || isBarrier(before));
        });
        const latest = Math.max(starts.handOver[row]!, ...follows.map((before) => queues.handOver[before]!));
        expect([row, queues.handOver[row]]).toEqual([row, latest]);
      }
    }),
    { numRuns: 60, seed: 3 },
  );
});
