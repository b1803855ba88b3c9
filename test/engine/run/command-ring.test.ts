import fc from 'fast-check';
import { expect, test } from 'vitest';
import { CommandRing } from '../../../src/engine/run/command-ring.ts';

const taken = (ring: CommandRing): number[][] => {
  const cell = new Float64Array(3);
  const all: number[][] = [];
  while (ring.take(cell)) all.push([...cell]);
  return all;
};

test('what one end pushes the other takes, in order, through another view of the same memory', () => {
  const command = fc.tuple(fc.integer({ min: 0, max: 16 }), fc.double(), fc.double());
  fc.assert(
    fc.property(fc.array(fc.array(command, { maxLength: 600 }), { maxLength: 8 }), (bursts) => {
      const writer = new CommandRing();
      const reader = new CommandRing(writer.buffer);
      for (const burst of bursts) {
        for (const [op, a, b] of burst) expect(writer.push(op, a, b)).toBe(true);
        expect(taken(reader)).toEqual(burst.map((cell) => [...cell]));
      }
    }),
    { numRuns: 30 },
  );
});

test('a full ring takes nothing and loses nothing', () => {
  const ring = new CommandRing();
  let pushed = 0;
  while (ring.push(pushed, 0, 0)) pushed += 1;
  expect(pushed).toBeGreaterThanOrEqual(1000);
  expect(taken(ring).map(([op]) => op)).toEqual(Array.from({ length: pushed }, (_, op) => op));
  expect(ring.push(1, 2, 3)).toBe(true);
  expect(taken(ring)).toEqual([[1, 2, 3]]);
});

test('each push and each wake changes the signal', () => {
  const ring = new CommandRing();
  const before = ring.signal();
  ring.push(0, 0, 0);
  const pushed = ring.signal();
  ring.wake();
  expect(new Set([before, pushed, ring.signal()]).size).toBe(3);
});
