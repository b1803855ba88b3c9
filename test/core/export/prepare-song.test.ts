import { describe, expect, test } from 'vitest';
import { memoryAdvice } from '../../../src/core/export/prepare-advice.ts';
import { GRID_LIMIT_MICROS, prepareSong } from '../../../src/core/export/prepare-song.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import { hexOf } from '../../support/stream-log.ts';
import { M6502, Z80 } from './player/machines.ts';
import { headOf } from './player/plain-image.ts';

const songOf = (events: readonly DeltaEvent[]) => buildTimeline(readSong(songBytes([[...events]])));
/** A note each so many ticks; 96 are a quarter of half a second. */
const notes = (channel: number, count: number, ticks: number): DeltaEvent[] =>
  Array.from({ length: count }, (_, n): DeltaEvent[] => [
    [n === 0 ? 0 : ticks, [0x90 | channel, 40 + ((n * 7) % 50), 100]],
    [6, [0x80 | channel, 40 + ((n * 7) % 50), 64]],
  ]).flat();
const tempo = (quarterMicros: number): DeltaEvent => [
  0,
  [0xff, 0x51, 3, quarterMicros >> 16, (quarterMicros >> 8) & 0xff, quarterMicros & 0xff],
];
/** 2 MHz: a unit is 16 µs. */
const UNIT = 16;

describe('a prepared song', () => {
  const timeline = songOf(notes(0, 12, 18));
  const song = prepareSong(timeline, {}, Z80)!;

  test('memory is the image and its stack; what is left is left of the board’s', () => {
    expect(song.stackBytes).toBe(4 + 4 * song.played.deepest);
    expect(song.memoryBytes).toBe(song.image.bytes.length + song.stackBytes);
    expect(song.freeBytes).toBe(Z80.to - Z80.from - song.memoryBytes);
    const tight = prepareSong(timeline, {}, { ...Z80, to: Z80.from + song.memoryBytes - 1 })!;
    expect(tight.freeBytes).toBe(-1);
    const other = prepareSong(timeline, {}, M6502)!;
    expect(other.memoryBytes).toBe(other.image.bytes.length);
  });

  test('its bytes, and behind them what ends what sounds', () => {
    expect(song.events).toBe(24);
    expect([...song.played.bytes]).toEqual([...song.wireBytes]);
    expect(hexOf(song.wireBytes.subarray(-3))).toBe('B0 7B 00');
    expect(song.silenceBytes).toHaveLength(0);
    const stopped = prepareSong(timeline, {}, { ...Z80, stop: { at: 1, mask: 1, isLow: false } })!;
    expect(hexOf(stopped.silenceBytes.subarray(-2))).toBe('78 00');
    expect(stopped.wireBytes).toEqual(song.wireBytes);
  });

  test('the grid and how far it moves, in microseconds; how late a byte is at most', () => {
    expect(song.gridMicros).toBe((headOf(song.image.bytes).stepParts / 256) * UNIT);
    // Each note is on a part of the quarter.
    expect(song.gridErrorMaxMicros).toBeLessThan(UNIT);
    expect(GRID_LIMIT_MICROS).toBe(2_700);
    const { sentUnits, dueUnits } = song.played;
    const late = sentUnits.map((sent, at) => sent - sentUnits[0]! - dueUnits[at]! + dueUnits[0]!);
    expect(song.worstLateMicros).toBe(UNIT * Math.max(0, ...late));
    expect(prepareSong(timeline, {}, Z80, 900)!.gridErrorMaxMicros).toBeLessThanOrEqual(900);
  });

  test('nothing to play is no song', () => {
    expect(prepareSong(songOf([]), {}, Z80)).toBeUndefined();
    expect(prepareSong(songOf([tempo(400_000)]), {}, Z80)).toBeUndefined();
  });

  test('the grid is of the tempo that rules for longest', () => {
    const [quick, slow] = [404_040, 617_283];
    const partsOf = (quarter: number, events: readonly DeltaEvent[]) =>
      quarter / prepareSong(songOf(events), {}, Z80)!.gridMicros;
    const isWhole = (parts: number) => Math.abs(parts - Math.round(parts)) < 0.02;
    const first = [tempo(quick), ...notes(0, 4, 6), tempo(slow), ...notes(0, 30, 18)];
    expect([isWhole(partsOf(slow, first)), isWhole(partsOf(quick, first))]).toEqual([true, false]);
    const last = [tempo(slow), ...notes(0, 30, 18), tempo(quick), ...notes(0, 4, 6)];
    expect([isWhole(partsOf(slow, last)), isWhole(partsOf(quick, last))]).toEqual([true, false]);
  });
});

/** By channel; the drums have most to say. */
const NOTES: Readonly<Record<number, number>> = { 0: 10, 1: 8, 2: 2, 3: 14, 9: 30 };

describe('what would make a song smaller', () => {
  const events = [3, 0, 2, 9, 1].flatMap((channel) => notes(channel, NOTES[channel]!, 12));
  const timeline = songOf(events);
  const advice = (arrangement: Parameters<typeof memoryAdvice>[1], machine = Z80, song = timeline) => [
    ...memoryAdvice(song, arrangement, machine, 2_000),
  ];
  const all = advice({});

  test('mildest first: thinning, a grid twice as coarse, then the channels with most to say, drums never', () => {
    expect(all.map(({ kind, value }) => `${kind} ${value}`)).toEqual([
      ...['thin 0', 'thin 2', 'thin 4', 'thin 8'],
      'coarser-grid 4',
      ...['leave-out-channel 3', 'leave-out-channel 0', 'leave-out-channel 1'],
    ]);
  });

  test('each with the memory it takes, and whether that fits', () => {
    for (const { bytes, fits, song } of all) expect([bytes, fits]).toEqual([song.memoryBytes, true]);
    const [{ bytes }] = all as [(typeof all)[0]];
    const tight = (room: number) =>
      memoryAdvice(timeline, {}, { ...Z80, to: Z80.from + room }, 2_000).next().value!;
    expect([tight(bytes), tight(bytes - 1)]).toMatchObject([{ fits: true }, { fits: false }]);
  });

  test('a coarser grid may move further, and without a channel nothing of it is sent', () => {
    const coarser = all.find(({ kind }) => kind === 'coarser-grid')!;
    expect(coarser.song.gridMicros).toBeGreaterThan(prepareSong(timeline, {}, Z80, 2_000)!.gridMicros);
    for (const { kind, value, song } of all.slice(-3)) {
      const used = new Set([...song.wireBytes].filter((byte) => byte >= 0x80).map((byte) => byte & 0x0f));
      expect([kind, used.has(value), used.size]).toEqual(['leave-out-channel', false, 4]);
    }
  });

  test('thinning that is in force already is none', () => {
    const first = (tolerance: number) => {
      const { kind, value } = memoryAdvice(timeline, { tolerance }, Z80, 2_000).next().value!;
      return `${kind} ${value}`;
    };
    expect([0, 2, 7, 8].map(first)).toEqual(['thin 2', 'thin 4', 'thin 8', 'coarser-grid 4']);
  });

  test('what would leave nothing is no advice', () => {
    expect(advice({}, Z80, songOf(notes(5, 3, 12))).map(({ kind }) => kind)).not.toContain(
      'leave-out-channel',
    );
    expect(advice({}, Z80, songOf(notes(9, 3, 12))).map(({ kind }) => kind)).not.toContain(
      'leave-out-channel',
    );
  });
});
