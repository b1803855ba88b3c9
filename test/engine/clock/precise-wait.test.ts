import { Worker } from 'node:worker_threads';
import { expect, test } from 'vitest';
import { PreciseWait } from '../../../src/engine/clock/precise-wait.ts';
import { RunClock } from '../../../src/engine/clock/run-clock.ts';
import { CommandRing } from '../../../src/engine/run/command-ring.ts';

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
  ring.push(0, 0, 0);
  const wait = new PreciseWait(ring, clock);
  expect(wait.wait(Float64Array.of(Number.POSITIVE_INFINITY), seen)).toBe(false);
});

test('a rehearsal that finds the moment come and moves it does not make the wait spin to the next', () => {
  // A clock that goes on by 50 µs with each look, so that what happens does not hang on the machine's load.
  let micros = 0;
  let looks = 0;
  const steps = {
    read(into: Float64Array) {
      looks += 1;
      micros += 50;
      into[0] = micros;
    },
  };
  const ring = new CommandRing();
  const until = Float64Array.of(2600);
  let rehearsed = 0;
  const rehearsal = {
    next() {
      rehearsed += 1;
      until[0] = Number.POSITIVE_INFINITY;
    },
  };
  expect(new PreciseWait(ring, steps, rehearsal).wait(until, ring.signal())).toBe(false);
  expect(rehearsed).toBe(1);
  expect(looks).toBeLessThan(100);
});

test('a loop that never sleeps is a bug, and said to be one', () => {
  const ring = new CommandRing();
  const wait = new PreciseWait(ring, clock);
  const past = Float64Array.of(0);
  expect(() => {
    for (let i = 0; i < 200_000; i += 1) wait.wait(past, ring.signal());
  }).toThrow('never comes to rest');
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

test('a clock begun anew counts from now on', () => {
  const old = new RunClock(-1e18);
  expect(old.nowMicros()).toBeGreaterThan(1e15);
  old.restart();
  expect(old.nowMicros()).toBeGreaterThanOrEqual(0);
  expect(old.nowMicros()).toBeLessThan(1e12);
});

test('two clocks with one origin agree', () => {
  const other = new RunClock(clock.originNanos);
  const first = clock.nowMicros();
  const second = other.nowMicros();
  const third = clock.nowMicros();
  expect(second).toBeGreaterThanOrEqual(first);
  expect(third).toBeGreaterThanOrEqual(second);
});
