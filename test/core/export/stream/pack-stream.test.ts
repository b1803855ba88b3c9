import { describe, expect, test } from 'vitest';
import type { PlayerMachine } from '../../../../src/core/export/player/player-machine.ts';
import { packStream } from '../../../../src/core/export/stream/pack-stream.ts';
import { SongSymbol } from '../../../../src/core/export/stream/song-symbol.ts';
import { songSymbolsOf } from '../../../../src/core/export/stream/song-symbols.ts';
import type { WireMessages } from '../../../../src/core/export/stream/wire-messages.ts';

/** A unit is 32 cycles, 8 µs; a byte's slot 41 units. */
const MACHINE: PlayerMachine = {
  cpu: 'z80',
  clockHz: 4_000_000,
  from: 0x280,
  to: 0x4000,
  out: 0x10,
  repeat: false,
};
const UNIT = 8;
const SLOT = 41;

/** Messages of a byte each at these moments, none like another that is near. */
function messagesAt(startMicros: readonly number[]): WireMessages {
  return {
    count: startMicros.length,
    bytes: Uint8Array.from(startMicros, (_, at) => (at * at * 7 + 3 * at) % 128),
    first: Uint32Array.from({ length: startMicros.length + 1 }, (_, at) => at),
    startMicros: Float64Array.from(startMicros),
  };
}

/** Forty messages, some steps from one to the next. */
function onGrid(stepMicros: number): WireMessages {
  const steps = [1, 2, 3, 5, 7];
  const starts = [0];
  while (starts.length < 40) {
    const n = starts.length;
    starts.push(starts.at(-1)! + steps[(n * n + (n >> 2)) % 5]! * stepMicros);
  }
  return messagesAt(starts);
}

/** Forty messages at the same distance. */
const each = (micros: number) => messagesAt(Array.from({ length: 40 }, (_, n) => n * micros));

const stepMicrosOf = (messages: WireMessages, quarterMicros: number, limitMicros: number) =>
  packStream(messages, undefined, quarterMicros, MACHINE, limitMicros).stepUnits * UNIT;

describe('the grid that gives the smallest stream', () => {
  // Quarters in two, three, five, seven and nine, again and again halved: common practice, no source.
  test.each([
    16, 24, 32, 36, 48, 60, 64, 72, 80, 84, 96, 100, 108, 112, 120, 128, 144, 160, 168, 180, 192, 216, 240,
    288, 320, 384, 480,
  ])('a song in parts of a quarter: %i', (part) => {
    // An odd number of 256ths of a unit: no part of it is one.
    const step = 2000 + 1 / 32;
    expect(stepMicrosOf(onGrid(step), part * step, step / 2)).toBe(step);
  });

  test.each([2_500, 3_000, 3_500, 4_000, 4_500, 5_000, 5_200])(
    'a song without a beat, in steps of %i µs',
    (step) => {
      expect(stepMicrosOf(onGrid(step), 1e9, step / 2)).toBeCloseTo(step, 1);
    },
  );

  test('a step is no more than twice the limit, and no less than a quarter of it', () => {
    const step = 2000 + 1 / 32;
    expect(stepMicrosOf(onGrid(step), 96 * step, step / 2 - 0.01)).toBeLessThan(step);
    // Of the steps there may be, only the finest of the quarter's is in 101 of itself.
    expect(stepMicrosOf(each(101 * step), 480 * step, 4 * step)).toBe(step);
    expect(stepMicrosOf(each(101 * step), 480 * step, 4 * step + 0.01)).toBeGreaterThan(step);
  });

  test('a step is no finer than the player goes through', () => {
    // 2400 units over what a byte leaves, 41 − 5 (player-machine.ts): 67 units, 536 µs.
    expect(stepMicrosOf(each(101 * 540), 480 * 540, 4 * 540)).toBe(540);
    expect(stepMicrosOf(each(101 * 530), 480 * 530, 4 * 530)).toBe(536);
  });
});

describe('what cannot be within the limit', () => {
  test('the step that is most exact', () => {
    // A byte each unit where one takes 41: the last is 62 ms late, and more where the first waits for a step.
    const crowd = messagesAt(Array.from({ length: 200 }, (_, at) => 5000.5 + at * UNIT));
    const { stepUnits, errorMicros } = packStream(crowd, undefined, 1e9, MACHINE, 2_700);
    const errors = [2_500, 3_000, 3_500, 4_000, 4_500, 5_000, 5_200].map(
      (step) => songSymbolsOf(crowd, step / UNIT, UNIT, SLOT, 12_000).errorMicros,
    );
    expect(errorMicros).toBe(Math.min(...errors));
    expect(stepUnits * UNIT).toBe(3_500);
  });
});

describe('a song that can be stopped', () => {
  test('the end, and then what a stop plays, on the same grid', () => {
    const silence = messagesAt([0, 328, 9_000]);
    const { symbols, stepUnits } = packStream(onGrid(2_500), silence, 1e9, MACHINE, 1_250);
    expect(stepUnits * UNIT).toBe(2_500);
    const song = packStream(onGrid(2_500), undefined, 1e9, MACHINE, 1_250).symbols;
    const wait = SongSymbol.wait + 4;
    expect([...symbols]).toEqual([
      ...song,
      SongSymbol.end,
      silence.bytes[0],
      silence.bytes[1],
      wait,
      silence.bytes[2],
    ]);
  });
});
