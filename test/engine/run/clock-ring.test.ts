import { expect, test } from 'vitest';
import { ClockInput } from '../../../src/core/follow/follow-state.ts';
import { RunClock } from '../../../src/engine/clock/run-clock.ts';
import { RingFeed } from '../../../src/engine/run/clock-feed.ts';
import { ClockRing } from '../../../src/engine/run/clock-ring.ts';
import { CommandRing } from '../../../src/engine/run/command-ring.ts';

const take = (ring: ClockRing) => {
  const into = new Float64Array(2);
  return ring.take(into) ? [...into] : undefined;
};

test('messages come out as they went in, in any view of the memory', () => {
  const ring = new ClockRing();
  ring.put(10.5, 0xf2, 1, 2);
  ring.put(20, 0xf8, 0, 0);
  const other = new ClockRing(ring.buffer);
  expect([take(other), take(other), take(other)]).toEqual([
    [10.5, 0xf2 | (1 << 8) | (2 << 16)],
    [20, 0xf8],
    undefined,
  ]);
});

test('what has no room is left out, and said once', () => {
  const ring = new ClockRing();
  for (let n = 0; n < 5000; n += 1) ring.put(n, 0xf8, 0, 0);
  let count = 0;
  while (take(ring) !== undefined) count += 1;
  expect(count).toBe(4096);
  expect([ring.takeBroke(), ring.takeBroke()]).toEqual([true, false]);
});

test('a message wakes whoever sleeps for commands', () => {
  const clock = new ClockRing();
  const commands = new CommandRing(undefined, clock.buffer);
  const before = commands.signal();
  clock.put(0, 0xf8, 0, 0);
  expect(commands.signal()).not.toBe(before);
  const after = commands.signal();
  commands.push(1, 2, 3);
  expect(commands.signal()).not.toBe(after);
  expect(commands.take(new Float64Array(3))).toBe(true);
});

test('an input that has ended is heard to its end first', () => {
  const ring = new ClockRing();
  const feed = new RingFeed(ring.buffer, new RunClock(0));
  ring.put(1, 0xf8, 0, 0);
  ring.input = ClockInput.ended;
  expect(feed.input).toBe(ClockInput.there);
  feed.take(new Float64Array(2));
  expect(feed.input).toBe(ClockInput.ended);
});
