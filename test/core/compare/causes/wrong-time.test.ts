import { describe, expect, test } from 'vitest';
import type { Evidence } from '../../../../src/core/compare/causes/evidence.ts';
import { wrongTime } from '../../../../src/core/compare/causes/wrong-time.ts';
import type { Law } from '../../../../src/core/compare/time-laws.ts';

const SECOND = 1_000_000;

interface Told {
  readonly law?: Law;
  readonly heard?: readonly number[];
  readonly written?: readonly number[];
  readonly tracks?: readonly number[];
  readonly tempos?: readonly (readonly [tick: number, microsPerQuarter: number])[];
  readonly hasTimes?: boolean;
  readonly rate?: number;
  readonly rateError?: number;
  readonly lostPerMessageMicros?: number;
  readonly lostMicros?: number;
  readonly grainMicros?: number;
}

const TEN = [0, 10 * SECOND];

function told(some: Told) {
  const { law = 'tempo-map', heard = TEN, written = TEN, tracks = [0], tempos = [[0, 500_000]] } = some;
  return wrongTime({
    timeline: {
      durationMicros: 100 * SECOND,
      tempoMap: { stretches: tempos.map(([tick, microsPerQuarter]) => ({ tick, microsPerQuarter })) },
      meterMap: { barBeatAt: (tick: number) => ({ bar: 1 + tick / 384, beat: 1 }) },
    },
    written: { count: written.length, micros: Float64Array.from(written), track: Uint16Array.from(tracks) },
    heard: {
      hasTimes: some.hasTimes ?? true,
      on: { count: heard.length, micros: Float64Array.from(heard) },
    },
    matched: { law },
    clock: {
      line: { rate: some.rate ?? 1, rateError: some.rateError ?? 0 },
      lostPerMessageMicros: some.lostPerMessageMicros ?? 0,
      lostMicros: some.lostMicros ?? 0,
    },
    grainMicros: some.grainMicros ?? 0,
  } as unknown as Evidence);
}

test('nothing is wrong with time that is kept, and nothing is known without times', () => {
  expect(told({})).toEqual([]);
  expect(told({ law: 'no-timing', heard: [0, 1], hasTimes: false })).toEqual([]);
});

describe('no law of time', () => {
  test('is told where all came within six tenths of the time it is written to last', () => {
    expect(told({ law: 'no-timing', heard: [SECOND, 2 * SECOND, 7 * SECOND] })).toEqual([
      [
        'no-timing',
        '3 notes came within 6.0 s, as fast as the wire takes them; they are written to last 10.0 s',
      ],
    ]);
    expect(told({ law: 'no-timing', heard: [SECOND, 7 * SECOND + 1] })).toEqual([]);
    expect(told({ law: 'no-timing', written: [SECOND, 11 * SECOND], heard: [0, 6 * SECOND] })).toHaveLength(
      1,
    );
  });

  test('of one note, or none, no time passes', () => {
    expect(told({ law: 'no-timing', heard: [5] })[0]![1]).toContain('1 notes came within 0.0 s');
    expect(told({ law: 'no-timing', heard: [0, 1], written: [5 * SECOND] })).toEqual([]);
    expect(told({ law: 'no-timing', heard: [], written: [] })[0]![1]).toContain('to last 0.0 s');
  });
});

test('tracks in turn: how many, and how long they take', () => {
  expect(told({ law: 'tracks-in-turn', heard: [0, 25 * SECOND], tracks: [1, 1, 5, 7], rate: 2 })).toEqual([
    ['tracks-in-turn', 'the 3 tracks that have notes came one after another, in 25.0 s instead of 10.0 s'],
  ]);
});

describe('a tempo that is ignored', () => {
  test('the first is kept: how often the song changes it, and where first', () => {
    const tempos = [
      [0, 600_000],
      [768, 500_000],
    ] as const;
    expect(told({ law: 'first-tempo', tempos })).toEqual([
      [
        'tempo-ignored',
        'every note stands where a tempo of 100 throughout puts it; the song changes its tempo 1 time, first at bar 3',
      ],
    ]);
    expect(told({ law: 'first-tempo', tempos: [...tempos, [1000, 1]] })[0]![1]).toContain(
      'changes its tempo 2 times, first at bar 3',
    );
  });

  test('or 120 a minute', () => {
    expect(told({ law: 'tempo-120', tempos: [[0, 600_000]] })).toEqual([
      [
        'tempo-ignored',
        'every note stands where a tempo of 120 throughout puts it; the song has another one',
      ],
    ]);
  });
});

test('time that is lost with each message', () => {
  expect(told({ lostPerMessageMicros: 1234, lostMicros: 5_678_000 })).toEqual([
    ['slow-adds-up', 'with every message 1.23 ms are lost for good, 5.7 s in all'],
  ]);
});

describe('a clock that runs wrong', () => {
  test('is told beyond 300 ppm, and how much it is over the song', () => {
    expect(told({ rate: 1.01 })).toEqual([
      ['clock-rate', "the player's clock is 1.000 % slow: 1.0 s over the song"],
    ]);
    expect(told({ rate: 0.98 })).toEqual([
      ['clock-rate', "the player's clock is 2.000 % fast: 2.0 s over the song"],
    ]);
    expect([told({ rate: 1.000301 }), told({ rate: 0.999699 })].flat()).toHaveLength(2);
    expect([told({ rate: 1.000299 }), told({ rate: 0.999701 })].flat()).toEqual([]);
  });

  test('and four standard deviations of doubt', () => {
    const at = (ppm: number) => told({ rate: 1 + ppm / 1e6, rateError: 50e-6 }).length;
    expect([at(501), at(499)]).toEqual([1, 0]);
  });

  test('and twice the coarseness of the receiver’s times over the recording', () => {
    // 1 ms twice in ten seconds is 200 ppm.
    const at = (ppm: number) =>
      told({ rate: 1 + ppm / 1e6, grainMicros: 1000, heard: [SECOND, 11 * SECOND] }).length;
    expect([at(501), at(499)]).toEqual([1, 0]);
    expect(told({ rate: 2, heard: [5] })).toEqual([]);
    expect(told({ rate: 2, heard: [5, 5] })).toEqual([]);
  });

  test('beside a tempo that is ignored and time that is lost', () => {
    const found = told({ law: 'tempo-120', rate: 1.01, lostPerMessageMicros: 1, lostMicros: 1 });
    expect(found.map(([code]) => code)).toEqual(['tempo-ignored', 'slow-adds-up', 'clock-rate']);
  });
});
