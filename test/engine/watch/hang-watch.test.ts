import { expect, test } from 'vitest';
import { RunCell } from '../../../src/engine/run/run-cell.ts';
import { HangWatch } from '../../../src/engine/watch/hang-watch.ts';

/** Asks once a second for a minute; returns the seconds at which the watch spoke. */
function ask(busyShare: number, beats: (second: number) => boolean): number[] {
  const cell = new RunCell();
  let ticks = 0;
  const watch = new HangWatch(cell, () => ticks);
  const spoke: number[] = [];
  for (let second = 0; second < 60; second += 1) {
    if (beats(second)) cell.beat();
    if (watch.hangs(second * 1_000_000)) spoke.push(second);
    ticks += busyShare * 100;
  }
  return spoke;
}

test('a main thread that runs in circles is noticed once, after some fifteen seconds', () => {
  const spoke = ask(1, (second) => second < 10);
  expect(spoke.length).toBe(1);
  expect(spoke[0]).toBeGreaterThanOrEqual(24);
  expect(spoke[0]).toBeLessThanOrEqual(27);
});

test('a main thread that waits for a terminal is left alone, however long', () => {
  expect(ask(0.01, (second) => second < 10)).toEqual([]);
});

test('busy with a pulse is healthy', () => {
  expect(ask(1, () => true)).toEqual([]);
});

test('where the system does not tell processor time the watch never speaks', () => {
  expect(ask(Number.NaN, () => false)).toEqual([]);
});
