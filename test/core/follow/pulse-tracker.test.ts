import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { PulseTracker } from '../../../src/core/follow/pulse-tracker.ts';
import { seeded } from '../../support/seeded.ts';

/** 24 pulses a quarter note (MIDI 1.0, p. 30): at 120 a minute one each 20,833.3 µs. */
const PERIOD = 500_000 / 24;

const pulse = (tracker: PulseTracker, micros: number) => tracker.pulse(Float64Array.of(micros));

/** Misses of the tracked line, in µs, from pulse `from` on: tracked moment less the moment without jitter. */
function misses(ideal: readonly number[], jitter: () => number, from: number): number[] {
  const tracker = new PulseTracker();
  return ideal
    .map((moment) => {
      pulse(tracker, moment + jitter());
      return Math.abs(tracker.line[0]! - moment);
    })
    .slice(from);
}

const p99 = (values: readonly number[]) =>
  values.toSorted((a, b) => a - b)[Math.floor(0.99 * values.length)]!;

const steady = (pulses: number, period = PERIOD) => Array.from({ length: pulses }, (_, n) => n * period);

function jitterOf(seed: number): () => number {
  const chance = seeded(seed);
  return () => 1000 * Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance());
}

describe('a steady clock', () => {
  test('jitter of 1 ms (standard deviation) leaves under 0.5 ms at 99 of 100 pulses, over an hour', () => {
    expect(p99(misses(steady(48 * 3600), jitterOf(3), 48))).toBeLessThan(500);
  });

  test('an hour on it has not drifted by a millisecond', () => {
    const late = misses(steady(48 * 3600), jitterOf(4), 48 * 3600 - 1000);
    expect(late.reduce((sum, miss) => sum + miss, 0) / late.length).toBeLessThan(200);
  });

  test('without jitter it is exact from the second pulse on, at any tempo', () => {
    fc.assert(
      fc.property(fc.double({ min: 5_000, max: 200_000, noNaN: true }), (period) => {
        const tracker = new PulseTracker();
        for (let n = 0; n < 100; n++) pulse(tracker, n * period);
        expect(tracker.periodMicros).toBeCloseTo(period, 3);
        expect(tracker.line[0]).toBeCloseTo(99 * period, 2);
      }),
    );
  });
});

test('up to half a beat the line is that of least squares through all pulses so far', () => {
  // What gains of 2(2n−1)/(n(n+1)) and 6/(n(n+1)) are for ("expanding memory", see `PulseTracker`).
  fc.assert(
    fc.property(
      fc.integer({ min: 5000, max: 100_000 }),
      fc.array(fc.integer({ min: -300, max: 300 }), { minLength: 2, maxLength: 12 }),
      (period, jitter) => {
        const tracker = new PulseTracker();
        const moments = jitter.map((off, n) => 1_000_000 + n * period + off);
        for (const moment of moments) expect(pulse(tracker, moment)).toBe(1);
        const middle = (moments.length - 1) / 2;
        const mean = moments.reduce((sum, moment) => sum + moment, 0) / moments.length;
        const slope =
          moments.reduce((sum, moment, n) => sum + (n - middle) * (moment - mean), 0) /
          moments.reduce((sum, _moment, n) => sum + (n - middle) ** 2, 0);
        expect(tracker.periodMicros).toBeCloseTo(slope, 5);
        expect(tracker.line[0]).toBeCloseTo(mean + middle * slope, 5);
        expect(tracker.isLocked).toBe(moments.length === 12);
      },
    ),
  );
});

describe('one pulse that is not when it should be', () => {
  /** A clock that came for a second, and then pulses at so many periods behind its last. */
  function later(tracker: PulseTracker, from: number, ...periods: number[]): void {
    for (const each of periods) pulse(tracker, from + each * PERIOD);
  }
  function known(): PulseTracker {
    const tracker = new PulseTracker();
    for (let n = 0; n <= 48; n += 1) pulse(tracker, 1_000_000 + n * PERIOD);
    return tracker;
  }
  const LAST = 2_000_000;

  test('much too early: once is chance, twice in a row the clock has become fast', () => {
    const tracker = known();
    later(tracker, LAST, 0.6);
    expect(Math.abs(tracker.periodMicros - PERIOD)).toBeLessThan(20);
    later(tracker, LAST, 2, 3, 3.6);
    expect(Math.abs(tracker.periodMicros - PERIOD)).toBeLessThan(60);
    later(tracker, LAST, 4.2);
    expect(tracker.periodMicros).toBeCloseTo(0.6 * PERIOD, 5);
  });

  test('a quarter of a period too early is jitter, whatever came before it', () => {
    const tracker = known();
    later(tracker, LAST, 0.99, 1.74);
    expect(Math.abs(tracker.periodMicros - PERIOD)).toBeLessThan(20);
  });

  test('before a break it counts no more behind it', () => {
    const tracker = known();
    later(tracker, LAST, 0.6);
    tracker.forget();
    later(tracker, 2 * LAST, 0, 1, 1.6);
    expect(tracker.periodMicros).toBeGreaterThan(0.9 * PERIOD);
  });

  test('nor behind a clock that begins anew', () => {
    const tracker = known();
    later(tracker, LAST, 0.6);
    tracker.start(Float64Array.of(LAST + 2.4 * PERIOD));
    expect([tracker.line[0], tracker.periodMicros > 0.98 * PERIOD]).toEqual([LAST + 2.4 * PERIOD, true]);
    later(tracker, LAST, 3);
    expect(tracker.periodMicros).toBeGreaterThan(0.9 * PERIOD);
  });

  test('behind a break: the tempo of before, as if six pulses stood for it', () => {
    const tracker = known();
    tracker.forget();
    later(tracker, 2 * LAST, 0);
    pulse(tracker, 2 * LAST + PERIOD + 500);
    // The seventh: g = 2·13/56, h = 6/56 (see `PulseTracker`).
    expect(tracker.line[0]! - 2 * LAST - PERIOD).toBeCloseTo((26 / 56) * 500, 3);
    expect(tracker.periodMicros - PERIOD).toBeCloseTo((6 / 56) * 500, 3);
    // One that is plainly another tempo is taken at once.
    const other = known();
    other.forget();
    later(other, 2 * LAST, 0, 1.36);
    expect(other.periodMicros).toBeCloseTo(1.36 * PERIOD, 5);
  });
});

describe('pulses that do not come for a while', () => {
  const LAST = 2_000_000;
  function known(): PulseTracker {
    const tracker = new PulseTracker();
    for (let n = 0; n <= 48; n += 1) pulse(tracker, 1_000_000 + n * PERIOD);
    return tracker;
  }

  /** By how many pulses the clock goes on with each that comes so many periods behind the last. */
  test.each<[string, number[], number[]]>([
    ['lost: they are counted with the next', [3, 4, 5], [3, 1, 1]],
    ['held up: those that come late are not counted again', [3, 3.05, 3.1, 4, 5], [3, 0, 0, 1, 1]],
    ['one held up of what seemed two lost: the other was none', [3, 3.05, 4, 5], [3, 0, 1, 0]],
    ['held up until half of the next period is nearly over', [2, 2.74, 3, 4], [2, 0, 1, 1]],
    ['a quarter early is one of its own', [2, 2.76, 4, 5], [2, 1, 1, 1]],
    ['two intervals that are alike: the clock has become slow', [3, 6, 9], [3, -1, 1]],
    ['alike to a quarter', [3, 5.41], [3, -1]],
    ['not as alike: more are lost', [3, 5.39], [3, 2]],
    ['alike, and hardly longer than before: no change', [1.34, 2.68], [1, 1]],
    ['half a period late twice: the clock has become slow, and none was lost', [1.51, 3.02], [2, 0]],
    ['later and later', [1.3, 2.6, 3.9], [1, 1, 1]],
  ])('%s', (_, periods, steps) => {
    const tracker = known();
    expect(periods.map((each) => pulse(tracker, LAST + each * PERIOD))).toEqual(steps);
  });

  test('a clock that becomes slow without a jump is believed when a pulse is half a period late', () => {
    const tracker = known();
    pulse(tracker, LAST + 1.3 * PERIOD);
    expect(tracker.periodMicros).toBeLessThan(1.01 * PERIOD);
    pulse(tracker, LAST + 2.6 * PERIOD);
    expect(tracker.periodMicros).toBeCloseTo(1.3 * PERIOD, 5);
    expect(tracker.line[0]).toBeCloseTo(LAST + 2.6 * PERIOD, 5);
  });

  test('what seemed lost before a start was no part of the song', () => {
    const tracker = known();
    expect(pulse(tracker, LAST + 3 * PERIOD)).toBe(3);
    tracker.start(Float64Array.of(LAST + 4 * PERIOD));
    expect(pulse(tracker, LAST + 4.3 * PERIOD)).toBe(1);
  });

  test('a start that comes when a pulse was due goes on with the line, and another begins it anew', () => {
    const isAnew = (micros: number) => {
      const tracker = known();
      tracker.start(Float64Array.of(LAST + micros));
      return Math.abs(tracker.line[0]! - LAST - micros) < 0.001;
    };
    // By now the clock is known to be on time to 0.2 ms; three times that is jitter.
    expect([300, -300, 900, -900].map((off) => isAnew(PERIOD + off))).toEqual([false, false, true, true]);
    expect([isAnew(2 * PERIOD + 300), isAnew(2.5 * PERIOD)]).toEqual([false, true]);
  });
});

describe('a clock that changes', () => {
  /** Moments of pulses whose tempo is given by time. */
  function moments(tempoAt: (seconds: number) => number, pulses: number): number[] {
    const at = [0];
    for (let n = 1; n < pulses; n++) at.push(at.at(-1)! + 60_000_000 / tempoAt(at.at(-1)! / 1e6) / 24);
    return at;
  }

  test('a ramp from 120 to 160 within eight seconds is followed within 2 ms', () => {
    const ramp = moments((seconds) => 120 + Math.min(40, Math.max(0, seconds - 4) * 5), 1200);
    expect(Math.max(...misses(ramp, () => 0, 24))).toBeLessThan(2_000);
  });

  test('a step of 5 % is taken up within half a beat', () => {
    const step = moments((seconds) => (seconds < 4 ? 120 : 126), 600);
    const after = step.findIndex((moment) => moment >= 4_000_000) + 12;
    expect(Math.max(...misses(step, () => 0, after))).toBeLessThan(700);
  });

  test('twice as fast, twice as slow: the same number of pulses is counted', () => {
    for (const factor of [0.5, 2]) {
      const tracker = new PulseTracker();
      let at = 0;
      let counted = 0;
      for (let n = 0; n < 300; n++) {
        counted += pulse(tracker, at);
        at += n < 100 ? PERIOD : PERIOD * factor;
      }
      expect(counted).toBe(300);
      expect(tracker.periodMicros).toBeCloseTo(PERIOD * factor, 0);
    }
  });

  test('a pulse lost on the way is counted, and the line goes on', () => {
    fc.assert(
      fc.property(fc.uniqueArray(fc.integer({ min: 3, max: 190 }), { maxLength: 4 }), (lost) => {
        // Two lost ones have others between them that were heard, or they look like a clock become slow.
        fc.pre(lost.every((one) => lost.every((other) => one === other || Math.abs(one - other) > 2)));
        const tracker = new PulseTracker();
        let counted = 0;
        for (let n = 0; n < 200; n++) if (!lost.includes(n)) counted += pulse(tracker, n * PERIOD);
        expect(counted).toBe(200);
        expect(tracker.line[0]).toBeCloseTo(199 * PERIOD, 1);
      }),
    );
  });

  test('whoever sends or reads is held up again and again, and then hurries: every pulse is counted once', () => {
    for (let seed = 1; seed <= 60; seed += 1) {
      const chance = seeded(seed);
      const jitter = jitterOf(seed);
      const tracker = new PulseTracker();
      let counted = 0;
      let heldUntil = 0;
      let last = 0;
      for (let n = 0; n < 600; n += 1) {
        let at = n * PERIOD + jitter();
        if (n > 0 && n < 500 && chance() < (n < 40 ? 0.08 : 0.01)) heldUntil = at + chance() * 280_000;
        at = Math.max(at, heldUntil, last + 20);
        last = at;
        counted += pulse(tracker, at);
      }
      expect(counted, `seed ${seed}`).toBe(600);
      expect(Math.abs(tracker.line[0]! - 599 * PERIOD)).toBeLessThan(3000);
    }
  });

  test('noise of any kind never gives a period below zero or a number that is none', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0, max: 400_000, noNaN: true }), { maxLength: 300 }),
        (intervals) => {
          const tracker = new PulseTracker();
          let at = 0;
          for (const interval of intervals) {
            at += interval;
            pulse(tracker, at);
            expect(tracker.periodMicros).toBeGreaterThanOrEqual(0);
            expect(Number.isFinite(tracker.line[0]! + tracker.line[1]!)).toBe(true);
          }
        },
      ),
    );
  });
});
