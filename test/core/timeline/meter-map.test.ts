import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Meter, meterMapOf } from '../../../src/core/timeline/meter-map.ts';

const place = (map: ReturnType<typeof meterMapOf>, at: number) => {
  const { bar, beat, tick } = map.barBeatAt(at);
  return `${bar}:${beat}:${tick}`;
};

describe('bar and beat', () => {
  test('4/4 where nothing is said (SMF 1.1, section 2.2)', () => {
    const map = meterMapOf(96, []);
    expect([0, 95, 96, 383, 384].map((tick) => place(map, tick))).toEqual([
      '1:1:0',
      '1:1:95',
      '1:2:0',
      '1:4:95',
      '2:1:0',
    ]);
    expect(map.tickOf(3, 2)).toBe(864);
    expect(map.tickOf(0)).toBe(0);
  });

  test('6/8 counts eighths (the published FF 58 04 06 03 24 08)', () => {
    const map = meterMapOf(96, [{ tick: 0, numerator: 6, denominator: 8 }]);
    expect(place(map, 48 * 7 + 5)).toBe('2:2:5');
  });

  test('a change in mid-bar begins a new bar; beats of the cut bar end there', () => {
    const map = meterMapOf(10, [{ tick: 65, numerator: 3, denominator: 8 }]);
    expect([64, 65, 70, 79, 80].map((tick) => place(map, tick))).toEqual([
      '2:3:4',
      '3:1:0',
      '3:2:0',
      '3:3:4',
      '4:1:0',
    ]);
    expect(map.tickOf(2, 4)).toBe(65);
    expect(map.tickOf(3)).toBe(65);
  });

  test('the same meter said again at a bar line changes nothing; in mid-bar it begins a bar', () => {
    const same = { numerator: 4, denominator: 4 };
    expect(meterMapOf(10, [{ tick: 40, ...same }]).changes).toHaveLength(1);
    expect(place(meterMapOf(10, [{ tick: 30, ...same }]), 30)).toBe('2:1:0');
  });

  test.each([1, 2, 4, 8, 16, 32, 64, 128])('a beat of 1/%i', (denominator) => {
    const map = meterMapOf(480, [{ tick: 0, numerator: 3, denominator }]);
    expect(map.tickOf(2, 2)).toBe((1920 / denominator) * 4);
    expect(place(map, map.tickOf(2, 2))).toBe('2:2:0');
  });

  test('a 64th of 1.5 ticks: beats begin at the next whole tick and nothing drifts', () => {
    const map = meterMapOf(24, [{ tick: 0, numerator: 4, denominator: 64 }]);
    expect([0, 1, 2, 3, 4, 5, 6].map((tick) => place(map, tick))).toEqual([
      '1:1:0',
      '1:1:1',
      '1:2:0',
      '1:3:0',
      '1:3:1',
      '1:4:0',
      '2:1:0',
    ]);
    expect(map.tickOf(1_000_001)).toBe(6_000_000);
  });
});

const meters = fc
  .array(
    fc.record({
      tick: fc.integer({ min: 0, max: 1e6 }),
      numerator: fc.integer({ min: 1, max: 17 }),
      denominator: fc.constantFrom(1, 2, 4, 8, 16, 32, 64),
    }),
    { maxLength: 8 },
  )
  .map((list): Meter[] => list.sort((a, b) => a.tick - b.tick));

describe('properties', () => {
  test('tickOf undoes barBeatAt at every beat, and places never go backwards', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 16, max: 960 }),
        meters,
        fc.integer({ min: 0, max: 2e6 }),
        (division, list, tick) => {
          const map = meterMapOf(division, list);
          const { bar, beat, tick: into } = map.barBeatAt(tick);
          expect(into).toBeGreaterThanOrEqual(0);
          expect(map.tickOf(bar, beat) + into).toBe(tick);
          const order = (at: ReturnType<typeof map.barBeatAt>) => (at.bar * 1e3 + at.beat) * 1e7 + at.tick;
          expect(order(map.barBeatAt(tick + 1))).toBeGreaterThan(order(map.barBeatAt(tick)));
        },
      ),
    );
  });
});
