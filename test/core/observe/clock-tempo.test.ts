import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ClockTempo } from '../../../src/core/observe/clock-tempo.ts';

/** 24 pulses a quarter note (MIDI 1.0, p. 30). */
const pulseMicros = (bpm: number) => 60_000_000 / bpm / 24;

describe('tempo by the pulses of a clock', () => {
  test('known from the third pulse on, exact for an even clock', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 10, max: 300, noNaN: true }),
        fc.double({ min: 0, max: 1e9, noNaN: true }),
        fc.integer({ min: 3, max: 80 }),
        (bpm, began, count) => {
          const tempo = new ClockTempo();
          const told = Array.from({ length: count }, (_, n) => tempo.pulse(began + n * pulseMicros(bpm)));
          expect(told.slice(0, 2)).toEqual([0, 0]);
          for (const one of told.slice(2)) expect(one).toBeCloseTo(bpm, 4);
        },
      ),
    );
  });

  test('a pulse that nothing followed in time is no part of what comes after it', () => {
    const tempo = new ClockTempo();
    const told = [0, 400_000, 420_000, 440_000].map((micros) => tempo.pulse(micros));
    expect(told).toEqual([0, 0, 0, 60_000_000 / 24 / 20_000]);
  });

  test('pulses 300 ms apart are still a clock, of 8 1/3 beats a minute; a microsecond more is none', () => {
    const told = (apart: number) => {
      const tempo = new ClockTempo();
      return [0, 1, 2, 3].map((n) => tempo.pulse(n * apart));
    };
    expect(told(300_000)).toEqual([0, 0, 25 / 3, 25 / 3]);
    expect(told(300_001)).toEqual([0, 0, 0, 0]);
  });

  test('a jump of tempo is through after a quarter note', () => {
    const tempo = new ClockTempo();
    for (let n = -30; n <= 0; n += 1) tempo.pulse(n * pulseMicros(60));
    for (let n = 1; n < 24; n += 1) expect(tempo.pulse(n * pulseMicros(120))).toBeLessThan(119);
    expect(tempo.pulse(24 * pulseMicros(120))).toBeCloseTo(120, 6);
  });

  test('after a break it begins anew', () => {
    const tempo = new ClockTempo();
    for (let n = 0; n < 30; n += 1) tempo.pulse(n * 20_000);
    const back = 29 * 20_000 + 300_001;
    expect([tempo.pulse(back), tempo.pulse(back + 10_000)]).toEqual([0, 0]);
    expect(tempo.pulse(back + 20_000)).toBeCloseTo(250, 6);
  });

  test('silent before the first pulse, and 300 ms after the last', () => {
    const tempo = new ClockTempo();
    expect(tempo.silentAt(0)).toBe(true);
    tempo.pulse(1000);
    expect([tempo.silentAt(301_000), tempo.silentAt(301_001)]).toEqual([false, true]);
    for (let n = 1; n < 60; n += 1) tempo.pulse(1000 + n * 1000);
    expect([tempo.silentAt(360_000), tempo.silentAt(360_001)]).toEqual([false, true]);
  });

  test('pulses of one moment say nothing', () => {
    const tempo = new ClockTempo();
    expect([tempo.pulse(5), tempo.pulse(5), tempo.pulse(5), tempo.pulse(5)]).toEqual([0, 0, 0, 0]);
  });
});
