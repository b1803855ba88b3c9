import fc from 'fast-check';
import { expect, test } from 'vitest';
import { eachRowInOrder } from '../../../src/core/timeline/tournament.ts';

const tracks = fc.array(
  fc.array(fc.constantFrom(0, 0, 1, 5, 0x1000_0000), { maxLength: 6 }).map((deltas) => {
    let tick = 0;
    return deltas.map((delta) => {
      tick += delta;
      return tick;
    });
  }),
  { maxLength: 10, size: 'max' },
);

test('rows of any number of tracks come by tick, then track, then row', () => {
  fc.assert(
    fc.property(tracks, (list) => {
      const starts = [0];
      for (const track of list) starts.push(starts.at(-1)! + track.length);
      const given: number[][] = [];
      const tick = Uint32Array.from(list.flat());
      eachRowInOrder(tick, Uint32Array.from(starts), (row, track) => given.push([tick[row]!, track, row]));
      const all = list.flatMap((track, number) => track.map((at, i) => [at, number, starts[number]! + i]));
      expect(given).toEqual(all.sort((a, b) => a[0]! - b[0]! || a[1]! - b[1]! || a[2]! - b[2]!));
    }),
  );
  const none: number[] = [];
  eachRowInOrder(new Uint32Array(0), new Uint32Array(0), (row) => none.push(row));
  expect(none).toEqual([]);
});
