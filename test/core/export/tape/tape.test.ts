import { describe, expect, test } from 'vitest';
import { readTape } from '../../../../src/core/export/tape/read-tape.ts';
import type { TapeBlock } from '../../../../src/core/export/tape/tape-block.ts';
import { tapeBytes } from '../../../../src/core/export/tape/tape-bytes.ts';
import type { TapeBaud } from '../../../../src/core/export/tape/tape-format.ts';
import { blocksOfImage, readTapeHead } from '../../../../src/core/export/tape/tape-image.ts';
import { TAPE_SOUND, tapeSamples, tapeSeconds } from '../../../../src/core/export/tape/tape-sound.ts';
import { zeroCrossings } from '../../../../src/core/export/tape/zero-crossings.ts';
import { seeded } from '../../../support/seeded.ts';
import { dropouts, floats, inverted, noisy, replayed, square, wobbling, wow } from './tape-damage.ts';

const RATE = 22_050;

/** A piece of memory with every byte value, and its tape. */
function tapeOf(baud: TapeBaud, length: number) {
  const chance = seeded(baud);
  const bytes = Uint8Array.from({ length }, (_, n) => (n < 256 ? n : Math.floor(chance() * 256)));
  const blocks = blocksOfImage({ bytes, loadAddress: 0x4000, startAddress: 0x4003 }, 'Night ferry', baud);
  const options = { ...TAPE_SOUND, baud, sampleRate: RATE, leaderSeconds: 1 };
  return { bytes, blocks, options, sound: floats(tapeSamples(blocks, options)) };
}

const tapes = { 1200: tapeOf(1200, 400), 300: tapeOf(300, 80) } as const;
const read = (...passes: Float32Array[]) =>
  readTape(passes.map((samples) => ({ samples, sampleRate: RATE, isCut: false })));

const memoryOf = (blocks: readonly TapeBlock[]): number[] => blocks.slice(1).flatMap(({ data }) => [...data]);

describe.each([1200, 300] as const)('%i baud', (baud) => {
  const { bytes, blocks, options, sound } = tapes[baud];

  test.each<[string, (samples: Float32Array) => Float32Array]>([
    ['as it was made', (samples) => samples],
    ['with its poles the other way round', inverted],
    ['as a square wave', square],
    ['with a level that wobbles', (samples) => wobbling(samples, RATE)],
    ['10 % too slow', (samples) => replayed(samples, RATE, () => 0.9)],
    ['10 % too fast', (samples) => replayed(samples, RATE, () => 1.1)],
    ['with 3 % of wow and 1 % of flutter', (samples) => replayed(samples, RATE, wow(0.03, 0.01))],
    ['with noise 12 dB below it', (samples) => noisy(samples, 12, 7)],
  ])('every block comes back %s', (_, damage) => {
    const found = read(damage(sound));
    expect(found.baud).toBe(baud);
    expect(found.missing).toEqual([]);
    expect(memoryOf(found.blocks)).toEqual([...bytes]);
    expect(readTapeHead(found.blocks[0]!)).toEqual({
      loadAddress: 0x4000,
      startAddress: 0x4003,
      length: bytes.length,
      name: 'Night ferry',
    });
  });

  test('a block that is hit is missed alone, and told by its number', () => {
    const seconds = tapeSeconds(blocks.slice(0, 2), { ...options, leaderSeconds: 1 });
    const hit = sound.slice();
    // Half a second of tail is counted in; the middle of block 1 lies well before it.
    const at = Math.round((seconds - 0.5 - 0.05) * RATE) - Math.round(RATE * 0.2);
    hit.fill(0, at, at + Math.round(RATE * 0.04));
    expect(read(hit).missing).toEqual([1]);
  });

  test('a tape lasts as long as it was said to', () => {
    expect(sound.length / RATE).toBeCloseTo(tapeSeconds(blocks, options), 3);
  });

  test('passes that are hit at different places join to the whole', () => {
    const passes = [1, 2, 3].map((seed) => dropouts(sound, RATE, 0.008, baud === 300 ? 60 : 30, seed));
    const found = read(...passes);
    const alone = Math.max(...passes.map((pass) => read(pass).blocks.length));
    expect(found.blocks.length).toBeGreaterThan(alone);
    for (const block of found.blocks) expect(block).toEqual(blocks[block.number]);
  });
});

test('a tape is ones at 2400 Hz before, between and behind its blocks, and a sine in each half cycle', () => {
  // 24 samples a half cycle; a block of 10 bytes of 11 bits, each as long as 4 half cycles of a one.
  const options = { ...TAPE_SOUND, sampleRate: 115_200, leaderSeconds: 0.1, level: 0.5 };
  const block = { number: 0, total: 1, address: 0, data: Uint8Array.of(0) };
  const samples = tapeSamples([block], options);
  const [leader, gap, tail] = [0.1, 0.05, 0.5].map((seconds) => seconds * 4800);
  const bits = 10 * 11 * 4;
  expect(samples).toHaveLength(24 * (leader! + bits + gap! + tail!));
  const ones = (from: number, halves: number) => {
    for (let half = 0; half < halves; half += 1) {
      const sign = (from + half) % 2 === 0 ? 1 : -1;
      const at = 24 * (from + half);
      expect([samples[at]! + 0, samples[at + 6], samples[at + 12]]).toEqual([
        0,
        Math.round(sign * 16_384 * Math.SQRT1_2),
        sign * 16_384,
      ]);
    }
  };
  ones(0, leader!);
  ones(leader! + bits, gap! + tail!);
  // 5A: a zero, its bits from the lowest up, two ones. In the middle of a zero is a peak, in that of a one nothing.
  for (const [bit, value] of [0, 0, 1, 0, 1, 1, 0, 1, 0, 1, 1].entries())
    expect(Math.abs(samples[24 * (leader! + 4 * bit + 1)]!)).toBe(value === 1 ? 0 : 16_384);
});

test('noise without a tape has no blocks, and nothing is made up', () => {
  const hiss = noisy(new Float32Array(RATE * 3).fill(0.1), 0, 3);
  expect(read(hiss)).toMatchObject({ blocks: [], missing: [], total: undefined });
  expect(read(new Float32Array(0)).blocks).toEqual([]);
});

test('a recording cut in a block keeps the blocks before it', () => {
  const { sound, blocks } = tapes[1200];
  const found = read(sound.subarray(0, Math.round(sound.length * 0.6)));
  expect(found.blocks.length).toBeGreaterThan(1);
  expect(found.blocks).toEqual(blocks.slice(0, found.blocks.length));
  expect(found.missing[0]).toBe(found.blocks.length);
});

test('a character that is hit keeps its place, so those behind it stay in theirs', () => {
  const { sound } = tapes[1200];
  const whole = tapeBytes(zeroCrossings(sound, RATE), 1200);
  const hit = sound.slice();
  const at = Math.round(whole.seconds[30]! * RATE);
  hit.fill(0, at, at + Math.round(RATE * 0.006));
  const found = tapeBytes(zeroCrossings(hit, RATE), 1200);
  expect(found.values.length).toBe(whole.values.length);
  expect([...found.clear].filter((clear) => clear === 0).length).toBeLessThan(4);
  expect(found.values.slice(40)).toEqual(whole.values.slice(40));
});
