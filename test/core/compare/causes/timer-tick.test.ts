import { describe, expect, test } from 'vitest';
import type { Evidence } from '../../../../src/core/compare/causes/evidence.ts';
import { timerTick } from '../../../../src/core/compare/causes/timer-tick.ts';
import { NO_STANDSTILLS } from '../../../../src/core/compare/standstills.ts';
import { seeded } from '../../../support/seeded.ts';
import { type TimedBytes, timelineOf } from '../../../support/timeline-of.ts';

/** Moments of a song, on no grid: 50 to 250 ms apart. */
function moments(count: number): number[] {
  const chance = seeded(5);
  let at = 0;
  return Array.from({ length: count }, () => (at += 50_000 + 200_000 * chance()));
}

/** As a player with a timer sends it: at the next tick. */
const onTicks = (micros: number) => (at: number) => Math.ceil(at / micros) * micros;

interface Played {
  readonly song: readonly number[];
  readonly time: (at: number) => number;
  /** Beginnings of what came without a gap, where these are not the moments. */
  readonly bursts?: readonly number[];
  readonly rate?: number;
  readonly lostPerMessageMicros?: number;
  readonly grainMicros?: number;
  readonly standstills?: Evidence['heard']['standstills'];
}

function told({ song, time, rate = 1, lostPerMessageMicros = 0, grainMicros = 0, ...some }: Played) {
  const y = Float64Array.from(song, (at) => time(at * rate));
  return timerTick({
    clock: {
      points: { x: Float64Array.from(song), y },
      line: { start: 0, rate },
      lostPerMessageMicros,
    },
    timeline: { columns: timelineOf(song.map((at, n): TimedBytes => [at, 0x90, n & 127, 64])) },
    heard: {
      bursts: some.bursts === undefined ? y : Float64Array.from(some.bursts),
      standstills: some.standstills ?? NO_STANDSTILLS,
    },
    grainMicros,
  } as unknown as Evidence);
}

const SONG = moments(60);
const words = (ms: string, share = 100) =>
  `what is sent begins on a grid of ${ms} ms (${share} % in step) that the song does not have`;

describe('a grid that is not the song’s', () => {
  test.each([
    [10_000, '10.0'],
    [16_667, '16.7'],
    [55_000, '55.0'],
  ])('of %i µs is found', (tick, ms) => {
    expect(told({ song: SONG, time: onTicks(tick) })).toBe(words(ms));
  });

  test('is found with a clock that runs wrong', () => {
    expect(told({ song: SONG, time: onTicks(10_000), rate: 1.01 })).toBe(words('10.0'));
  });

  test('is none where all is on time, or off by chance', () => {
    const chance = seeded(9);
    expect(told({ song: SONG, time: (at) => at })).toBeUndefined();
    expect(told({ song: SONG, time: (at) => at + 20_000 * chance() })).toBeUndefined();
  });

  test('nor where it is the song’s own', () => {
    // The song stands on 10 ms, but for nothing; the player is late by 10 or 20.
    const song = SONG.map(onTicks(10_000));
    const late = (at: number) => at + 10_000 * (Math.round(at / 10_000) % 3);
    expect(told({ song, time: late })).toBeUndefined();
  });

  test('nor where time is lost with each message', () => {
    expect(told({ song: SONG, time: onTicks(10_000), lostPerMessageMicros: 1 })).toBeUndefined();
  });

  test('nor in fewer than 24 moments, or bursts', () => {
    const song = (count: number) => SONG.slice(0, count);
    expect(told({ song: song(24), time: onTicks(20_000) })).toContain('20.0 ms');
    expect(
      told({ song: song(23), time: onTicks(20_000), bursts: SONG.map(onTicks(20_000)) }),
    ).toBeUndefined();
    const bursts = (count: number) => SONG.slice(0, count).map(onTicks(20_000));
    expect(told({ song: SONG, time: onTicks(20_000), bursts: bursts(24) })).toContain('20.0 ms');
    expect(told({ song: SONG, time: onTicks(20_000), bursts: bursts(23) })).toBeUndefined();
  });

  test('what came before the first note, or while the listener stood still, is not asked', () => {
    const time = onTicks(20_000);
    const bursts = SONG.map(time);
    const off = Array.from({ length: 40 }, (_, n) => n * 700);
    expect(bursts[0]).toBeGreaterThan(28_000);
    expect(told({ song: SONG, time, bursts: [...off, ...bursts] })).toBe(words('20.0'));
    // A stretch of 28 ms behind the thirtieth.
    const from = bursts[30]! + 1;
    const still = [...bursts.slice(0, 31), ...off.map((at) => from + at), ...bursts.slice(31)];
    expect(told({ song: SONG, time, bursts: still })).not.toBe(words('20.0'));
    const standstills = { fromMicros: Float64Array.of(from), toMicros: Float64Array.of(from + 28_000) };
    expect(told({ song: SONG, time, bursts: still, standstills })).toBe(words('20.0'));
  });
});

describe('the spread that a tick leaves', () => {
  /** Notes are late by nothing or by so much, on a grid of that. */
  const spread = (micros: number, grainMicros = 0) => {
    const song = SONG.map((at) => at);
    return told({ song, time: onTicks(micros), grainMicros }) !== undefined;
  };

  test('is three milliseconds at least, and four times the receiver’s own grain', () => {
    // Of 60 moments all but a tenth are within nine tenths of a tick.
    expect([spread(5000), spread(3000)]).toEqual([true, false]);
    expect([spread(20_000, 3500), spread(20_000, 5500)]).toEqual([true, false]);
  });
});

test('of more than 1500 moments fifty in a row are asked, and so many times fifty not', () => {
  const long = moments(4000);
  expect(told({ song: long, time: onTicks(55_000) })).toBe(words('55.0'));
  // Every third fifty is on ticks; all others are late by chance.
  const chance = seeded(7);
  const late = new Map(
    long.map((at, n) => [at, Math.floor(n / 50) % 3 === 0 ? onTicks(55_000)(at) : at + 55_000 * chance()]),
  );
  expect(told({ song: long, time: (at) => late.get(at)! })).toBe(words('55.0'));
});

test('and of fewer all', () => {
  const song = moments(150);
  const chance = seeded(7);
  const late = new Map(song.map((at, n) => [at, n < 50 ? onTicks(55_000)(at) : at + 55_000 * chance()]));
  expect(told({ song, time: (at) => late.get(at)! })).toBeUndefined();
});
