import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { LoadAt, LoadWindow } from '../../../src/core/wire/load-window.ts';

const WINDOW = 1000;
const BYTE = 100;

type Span = readonly [start: number, end: number];

/** Time that the wire is busy from `end - WINDOW` to `end`. */
const busyBefore = (spans: readonly Span[], end: number) =>
  spans.reduce((sum, [from, to]) => sum + Math.max(0, Math.min(to, end) - Math.max(from, end - WINDOW)), 0);

/** What a window shows after each message. */
function shownBy(spans: readonly Span[]) {
  const load = new LoadWindow(WINDOW, BYTE);
  const register = new Float64Array(3);
  return spans.map(([start, end]) => {
    register.set([start, end], 1);
    load.add(register, 1);
    expect([load.peak, load.peakEndMicros]).toEqual([
      load.numbers[LoadAt.peak],
      load.numbers[LoadAt.peakEndMicros],
    ]);
    return { latest: load.numbers[LoadAt.latest], peak: load.peak, peakEnd: load.peakEndMicros };
  });
}

describe('the load of a window', () => {
  test('by hand: what reaches into it from before counts for the part inside', () => {
    expect(
      shownBy([
        [0, 300],
        [500, 600], // 400 of the last 1000
        [1100, 1200], // from 200 on: 100 + 100 + 100
        [1200, 2200], // the whole window
        [2300, 2500], // from 1500 on: 700 + 200
        [9000, 9100],
      ]),
    ).toEqual([
      { latest: 0.3, peak: 0.3, peakEnd: 300 },
      { latest: 0.4, peak: 0.4, peakEnd: 600 },
      { latest: 0.3, peak: 0.4, peakEnd: 600 },
      { latest: 1, peak: 1, peakEnd: 2200 },
      { latest: 0.9, peak: 1, peakEnd: 2200 },
      { latest: 0.1, peak: 1, peakEnd: 2200 },
    ]);
  });

  test('of two that are equally full the first is the peak', () => {
    expect(shownBy([[0, 300], [5000, 5300]]).at(-1)).toEqual({ latest: 0.3, peak: 0.3, peakEnd: 300 }); // biome-ignore format: pairs
  });

  test('what takes no time shows nothing', () => {
    const load = new LoadWindow(WINDOW, BYTE);
    load.add(Float64Array.of(0, 300), 0);
    load.add(Float64Array.of(1200, 1200), 0);
    expect(load.numbers[LoadAt.latest]).toBe(0.3);
    load.add(Float64Array.of(1400, 1500), 0);
    expect(load.numbers[LoadAt.latest]).toBe(0.1);
  });

  test('after a rest nothing is left over of what rounding had added up', () => {
    const spans = Array.from({ length: 50 }, (_, n): Span => [n * 100.1, n * 100.1 + 100.1]);
    expect(shownBy([...spans, [9000, 9100]]).at(-1)!.latest).toBe(0.1);
  });

  test('anywhere, however many messages it holds: the busy time in it, and the most that ever was', () => {
    // Rests and lengths of whole micros, the shortest message one byte, so sums are exact.
    const step = fc.tuple(
      fc.constantFrom(0, 0, 0, 1, 40, 900, 3000),
      fc.constantFrom(BYTE, BYTE, 101, 300, 1500),
    );
    fc.assert(
      fc.property(fc.array(step, { maxLength: 60, size: 'max' }), (steps) => {
        let at = 0;
        const spans = steps.map(([rest, length]): Span => {
          const start = at + rest;
          at = start + length;
          return [start, at];
        });
        let [peak, peakEnd] = [0, 0];
        for (const [i, shown] of shownBy(spans).entries()) {
          const end = spans[i]![1];
          const latest = busyBefore(spans.slice(0, i + 1), end) / WINDOW;
          if (latest > peak) [peak, peakEnd] = [latest, end];
          expect(shown).toEqual({ latest, peak, peakEnd });
        }
      }),
    );
  });
});
