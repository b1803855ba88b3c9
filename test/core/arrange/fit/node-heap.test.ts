import fc from 'fast-check';
import { expect, test } from 'vitest';
import { NodeHeap } from '../../../../src/core/arrange/fit/node-heap.ts';

test('nodes come nearest first, however they were added and taken between', () => {
  fc.assert(
    fc.property(fc.array(fc.option(fc.integer({ min: 0, max: 50 })), { maxLength: 200 }), (steps) => {
      const heap = new NodeHeap();
      const plain: { distance: number; node: number }[] = [];
      for (const [node, distance] of steps.entries()) {
        if (distance !== null) {
          heap.add(distance, node);
          plain.push({ distance, node });
        } else if (plain.length > 0) {
          const least = Math.min(...plain.map((one) => one.distance));
          expect(heap.nearest).toBe(least);
          const taken = heap.take();
          const at = plain.findIndex((one) => one.node === taken);
          expect(plain[at]?.distance).toBe(least);
          plain.splice(at, 1);
        }
        expect(heap.size).toBe(plain.length);
      }
    }),
  );
});

test('more than there was room for at first, and cleared again', () => {
  const heap = new NodeHeap();
  const count = 5000;
  for (let n = 0; n < count; n += 1) heap.add((n * 7919) % count, n);
  const taken = Array.from({ length: count }, () => {
    const { nearest } = heap;
    return [nearest, (heap.take() * 7919) % count];
  });
  expect(taken).toEqual(Array.from({ length: count }, (_, n) => [n, n]));
  heap.add(3, 3);
  heap.clear();
  expect(heap.size).toBe(0);
  heap.add(2, 9);
  expect([heap.nearest, heap.take()]).toEqual([2, 9]);
});
