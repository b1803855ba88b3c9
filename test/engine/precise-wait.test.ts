import { Worker } from 'node:worker_threads';
import { expect, test } from 'vitest';
import { CommandRing } from '../../src/engine/command-ring.ts';
import { PreciseWait } from '../../src/engine/precise-wait.ts';
import { RunClock } from '../../src/engine/run-clock.ts';

const clock = new RunClock();

test.each([0, 0.05, 0.2, 1, 3.3, 9.7, 21])('waits %f ms and never wakes before its moment', (ms) => {
  const ring = new CommandRing();
  const wait = new PreciseWait(ring, clock);
  for (let round = 0; round < 5; round += 1) {
    const until = Float64Array.of(clock.nowMicros() + ms * 1000);
    expect(wait.wait(until, ring.signal())).toBe(true);
    expect(clock.nowMicros()).toBeGreaterThanOrEqual(until[0]!);
  }
});

test('does not sleep when the signal has changed since it was seen', () => {
  const ring = new CommandRing();
  const seen = ring.signal();
  ring.push(0, 0, 0, 0);
  const wait = new PreciseWait(ring, clock);
  expect(wait.wait(Float64Array.of(Number.POSITIVE_INFINITY), seen)).toBe(false);
});

test('a rehearsal that finds the moment come and moves it does not make the wait spin to the next', () => {
  const ring = new CommandRing();
  const until = Float64Array.of(clock.nowMicros() + 4000);
  let rehearsed = 0;
  const rehearsal = {
    next() {
      rehearsed += 1;
      until[0] = Number.POSITIVE_INFINITY;
    },
  };
  const before = process.cpuUsage();
  expect(new PreciseWait(ring, clock, rehearsal).wait(until, ring.signal())).toBe(false);
  expect(rehearsed).toBe(1);
  expect(process.cpuUsage(before).user).toBeLessThan(200_000); // it slept its quarter of a second
});

test('a push from another thread ends the sleep', async () => {
  const ring = new CommandRing();
  const code = `
    const { workerData } = require('node:worker_threads');
    const head = new Int32Array(workerData);
    const pause = new Int32Array(new SharedArrayBuffer(4));
    Atomics.wait(pause, 0, 0, 30);
    Atomics.add(head, 0, 1);
    Atomics.notify(head, 0);`;
  const seen = ring.signal();
  const worker = new Worker(code, { eval: true, workerData: ring.buffer });
  const started = clock.nowMicros();
  const wait = new PreciseWait(ring, clock);
  const until = Float64Array.of(started + 20_000_000);
  while (!wait.wait(until, seen)) if (ring.signal() !== seen) break;
  expect(ring.signal()).not.toBe(seen);
  expect(clock.nowMicros()).toBeLessThan(until[0]!);
  await worker.terminate();
});

test('two clocks with one origin agree', () => {
  const other = new RunClock(clock.originNanos);
  const first = clock.nowMicros();
  const second = other.nowMicros();
  const third = clock.nowMicros();
  expect(second).toBeGreaterThanOrEqual(first);
  expect(third).toBeGreaterThanOrEqual(second);
});
