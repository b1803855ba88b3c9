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
  // It was seen quiet from second 10 on.
  expect(spoke).toEqual([25]);
});

test('and once more for each time that it hangs', () => {
  expect(ask(1, (second) => second < 5 || second === 30)).toEqual([20, 46]);
});

test('four fifths of a processor are circles, a little less is work', () => {
  expect(ask(0.8, () => false)).toEqual([16]);
  expect(ask(0.79, () => false)).toEqual([]);
});

test('who slept with the whole program has not hung: the quiet counts anew after three seconds unasked', () => {
  const spoken = (gap: number) => {
    const cell = new RunCell();
    let micros = 0;
    const watch = new HangWatch(cell, () => micros / 10_000);
    let spoke = 0;
    for (let asked = 0; asked < 100; asked += 1) {
      if (watch.hangs(micros)) spoke += 1;
      micros += gap;
    }
    return spoke;
  };
  expect([spoken(3_000_000), spoken(3_000_001)]).toEqual([1, 0]);
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
