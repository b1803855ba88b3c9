import { expect, test } from 'vitest';
import { graininessOf } from '../../../src/core/compare/graininess.ts';
import type { HeardMusic } from '../../../src/core/compare/heard-music.ts';

/** Notes with so many microseconds between them; each message a note, or every `step`th. */
function grainOf(gaps: readonly number[], { step = 1, hasTimes = true } = {}): number {
  const micros = [0];
  for (const gap of gaps) micros.push(micros.at(-1)! + gap);
  const on = {
    count: micros.length,
    micros: Float64Array.from(micros),
    message: Uint32Array.from(micros, (_, n) => n * step),
  };
  return graininessOf({ on, hasTimes } as unknown as HeardMusic);
}
const times = (count: number, gap: number) => new Array<number>(count).fill(gap);

// On a wire notes follow each other at 640 or 960 µs: two bytes under running status, or three (MIDI 1.0, p. 1).
test.each([
  ['two bytes apart', times(20, 640), 0],
  ['three bytes apart', times(20, 960), 0],
  ['between these', times(20, 800), 0],
  ['closer than a wire can', times(20, 500), 140],
  ['all at once', times(20, 0), 640],
  ['later than a wire would', times(20, 1460), 500],
  ['3 ms apart, the farthest that counts as following', times(20, 3000), 2040],
  ['farther apart', times(20, 3001), 0],
  ['too few', times(9, 0), 0],
  ['just enough', times(10, 0), 640],
  ['one in twenty at once', [...times(19, 960), 0], 0],
  ['one in ten at once', [...times(18, 960), 0, 0], 640],
  ['rests among them', [...times(10, 0), ...times(50, 20_000)], 640],
])('%s', (_what, gaps, micros) => {
  expect(grainOf(gaps)).toBe(micros);
});

test('other messages between them, or no times at all: nothing is known', () => {
  expect(grainOf(times(20, 0), { step: 2 })).toBe(0);
  expect(grainOf(times(20, 0), { hasTimes: false })).toBe(0);
});
