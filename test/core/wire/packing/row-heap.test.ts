import fc from 'fast-check';
import { expect, test } from 'vitest';
import { RowHeap } from '../../../../src/core/wire/packing/row-heap.ts';

const TAKE = -1;

test('a heap gives out the row with the largest key, of equal keys the later row', () => {
  const steps = fc.array(fc.constantFrom(TAKE, TAKE, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9), { maxLength: 60 });
  fc.assert(
    fc.property(steps, (keys) => {
      const heap = new RowHeap(Float64Array.from(keys));
      /** What is in it, put in order anew each time. */
      const rows: number[] = [];
      for (const [row, key] of keys.entries()) {
        if (key !== TAKE) {
          heap.push(row);
          rows.push(row);
        } else if (rows.length > 0) {
          heap.pop();
          rows.shift();
        }
        rows.sort((a, b) => keys[b]! - keys[a]! || b - a);
        expect(heap.size).toBe(rows.length);
        if (rows.length > 0) expect(heap.top).toBe(rows[0]);
      }
    }),
  );
});
