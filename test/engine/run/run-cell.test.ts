import { Worker } from 'node:worker_threads';
import { expect, test } from 'vitest';
import { RunCell, RunPhase } from '../../../src/engine/run/run-cell.ts';

/** Longer than anything here takes: who waits so long was not woken. */
const LONG_MS = 60_000;

/** Another thread, which writes a number into a cell as soon as it runs. */
function writeElsewhere(cell: RunCell, place: number, value: number): Worker {
  return new Worker(
    `const { workerData: { buffer, place, value } } = require('node:worker_threads');
     const cells = new Int32Array(buffer);
     Atomics.store(cells, place, value);
     Atomics.notify(cells, place);`,
    { eval: true, workerData: { buffer: cell.buffer, place, value } },
  );
}

test('a run that is over is not waited for, and one that is not no longer than was said', () => {
  const cell = new RunCell();
  expect(cell.phase).toBe(RunPhase.starting);
  expect(cell.waitUntilOver(0)).toBe(false);
  const began = performance.now();
  expect(cell.waitUntilOver(30)).toBe(false);
  expect(performance.now() - began).toBeGreaterThanOrEqual(30);
  cell.phase = RunPhase.over;
  expect(new RunCell(cell.buffer).phase).toBe(RunPhase.over);
  expect(cell.waitUntilOver(LONG_MS)).toBe(true);
  expect(cell.waitUntilOver(0)).toBe(true);
  expect(new Set(Object.values(RunPhase)).size).toBe(3);
});

test('who waits is woken by the other thread; a phase that is not the last is no end', async () => {
  const cell = new RunCell();
  const running = writeElsewhere(cell, 0, RunPhase.running);
  await new Promise((resolve) => running.once('exit', resolve));
  expect(cell.phase).toBe(RunPhase.running);
  const over = writeElsewhere(cell, 0, RunPhase.over);
  expect(cell.waitUntilOver(LONG_MS)).toBe(true);
  await over.terminate();
  const asked = writeElsewhere(cell, 2, 1);
  cell.waitUntilAsked(LONG_MS);
  await asked.terminate();
});

test('what was asked is known, and each beat is one more', () => {
  const cell = new RunCell();
  cell.asked();
  cell.waitUntilAsked(LONG_MS);
  expect(cell.heartbeat).toBe(0);
  cell.beat();
  cell.beat();
  expect(new RunCell(cell.buffer).heartbeat).toBe(2);
});
