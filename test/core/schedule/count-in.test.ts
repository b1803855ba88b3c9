import { describe, expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { countInMicros } from '../../../src/core/observe/song-position.ts';
import { type BeatTable, beatTableOf } from '../../../src/core/schedule/count-in.ts';
import { meterMapOf } from '../../../src/core/timeline/meter-map.ts';
import { tempoMapOf } from '../../../src/core/timeline/tempo-map.ts';
import { toHex } from '../../support/hex.ts';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';
import { VirtualRun } from '../../support/virtual-run.ts';

const S = 1_000_000;
/** 3/4 at 120 a minute, from 6 s on 4/4 at 60. */
const BEATS: BeatTable = {
  count: 2,
  micros: Float64Array.of(0, 6 * S),
  beatMicros: Float64Array.of(500_000, S),
  beats: Uint8Array.of(3, 4),
};
const SONG: TimedBytes[] = [
  [0, 0xc0, 5],
  [0, 0x90, 60, 1],
  [20 * S, 0x80, 60, 0],
];

const lines = (run: VirtualRun) =>
  run.outlet.sent.splice(0).map(({ now, bytes }) => `${now / 1000}: ${toHex(bytes)}`);

describe('count-in', () => {
  test('a bar of clicks on channel 10, the first higher; then the music on the next beat', () => {
    const run = new VirtualRun(planOf(timelineOf(SONG)), { countInBars: 1, beats: BEATS }).send({
      kind: 'play',
    });
    expect(run.observed.numbers[Slot.positionMicros]).toBe(-1.5 * S);
    run.to(2 * S);
    expect(lines(run)).toEqual([
      '0: C0 05', // what stands at the song's very start is set up before the count
      '0: 99 4C 70',
      '50: 89 4C 40',
      '500: 99 4D 58',
      '550: 89 4D 40',
      '1000: 99 4D 58',
      '1050: 89 4D 40',
      '1500: 90 3C 01',
    ]);
  });

  test.each([
    [1 << 9, 9],
    [1 << 3, 3],
    [(1 << 3) | (1 << 9), 3],
    [1 << 15, 15],
    [0, 9],
  ])('with drums on channels %s the clicks are on %i', (drumChannels, channel) => {
    const drums = drumChannels === undefined ? {} : { drumChannels };
    const run = new VirtualRun(planOf(timelineOf(SONG)), { countInBars: 1, beats: BEATS, ...drums });
    run.send({ kind: 'play' }).to(0.1 * S);
    expect(lines(run).slice(1)).toEqual([
      `0: ${toHex([0x90 | channel])} 4C 70`,
      `50: ${toHex([0x80 | channel])} 4C 40`,
    ]);
  });

  test('follows the meter where play begins', () => {
    const run = new VirtualRun(planOf(timelineOf(SONG)), {
      countInBars: 2,
      beats: BEATS,
      startMicros: 7 * S,
    });
    run.send({ kind: 'play' }).to(30 * S);
    expect(run.sent.filter(({ bytes }) => bytes[0] === 0x99)).toHaveLength(8);
  });

  test('is told until the music begins, from a later bar too, and not after a pause', () => {
    const run = new VirtualRun(planOf(timelineOf(SONG)), {
      countInBars: 1,
      beats: BEATS,
      startMicros: 7 * S,
    }).send({ kind: 'play' });
    const toGo = () => countInMicros(run.observed, run.observed.numbers[Slot.positionMicros]!);
    expect(toGo() / S).toBeCloseTo(4, 2);
    run.to(1.5 * S);
    expect(toGo() / S).toBeCloseTo(2.5, 2);
    run.to(5 * S);
    expect(toGo()).toBe(0);
    run
      .send({ kind: 'stop' })
      .send({ kind: 'play' })
      .to(5.5 * S);
    expect(toGo() / S).toBeCloseTo(3.5, 2);
    run.send({ kind: 'pause' });
    expect(toGo()).toBe(0);
    run.send({ kind: 'seek', micros: 6 * S }).send({ kind: 'play' });
    expect(toGo() / S).toBeCloseTo(4, 2);
  });

  test('a pause in it leaves no click sounding, and the count is given again', () => {
    const run = new VirtualRun(planOf(timelineOf(SONG)), { countInBars: 1, beats: BEATS }).send({
      kind: 'play',
    });
    run.to(0.52 * S).send({ kind: 'pause' });
    expect(lines(run)).toContain('520: 89 4D 40');
    run.send({ kind: 'play' }).to(10 * S);
    expect(lines(run).filter((line) => line.includes(': 99'))).toHaveLength(3);
  });

  test('a receiver that is told anew within it: the count goes on behind that', () => {
    const run = new VirtualRun(planOf(timelineOf(SONG)), { countInBars: 1, beats: BEATS })
      .send({ kind: 'play' })
      .to(0.9 * S);
    lines(run);
    run.scheduler.restate();
    const told = lines(run);
    run.to(3 * S);
    const behind = (told.length * 3 - 1) * 0.32; // of all that is told only the program has two bytes
    expect(lines(run).map((line) => line.split(': '))).toEqual(
      [
        [1000, '99 4D 58'],
        [1050, '89 4D 40'],
        [1500, '90 3C 01'],
      ].map(([millis, bytes]) => [String(Number(millis) + behind), bytes]),
    );
  });

  test('a pause later does not count in again; stop does', () => {
    const run = new VirtualRun(planOf(timelineOf(SONG)), { countInBars: 1, beats: BEATS }).send({
      kind: 'play',
    });
    run
      .to(3 * S)
      .send({ kind: 'pause' })
      .send({ kind: 'play' })
      .to(5 * S);
    expect(run.sent.filter(({ bytes }) => bytes[0] === 0x99)).toHaveLength(3);
    run
      .send({ kind: 'stop' })
      .send({ kind: 'play' })
      .to(9 * S);
    expect(run.sent.filter(({ bytes }) => bytes[0] === 0x99)).toHaveLength(6);
  });

  test('beats of a song: every change of tempo or meter', () => {
    const tempo = tempoMapOf({ kind: 'quarter', ticksPerQuarter: 96 }, [
      { tick: 0, microsPerQuarter: 500_000 },
      { tick: 192, microsPerQuarter: 1_000_000 },
    ] as Parameters<typeof tempoMapOf>[1]);
    const meter = meterMapOf(96, [
      { tick: 0, numerator: 4, denominator: 4 },
      { tick: 384, numerator: 6, denominator: 8 },
    ] as Parameters<typeof meterMapOf>[1]);
    const table = beatTableOf(tempo, meter);
    expect([...table.micros]).toEqual([0, S, 3 * S]);
    expect([...table.beatMicros]).toEqual([500_000, S, 500_000]);
    expect([...table.beats]).toEqual([4, 4, 6]);
  });
});
