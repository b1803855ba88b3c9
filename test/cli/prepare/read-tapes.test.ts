import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { encodeWav } from '../../../src/core/export/tape/encode-wav.ts';
import { readWav } from '../../../src/core/export/tape/read-wav.ts';
import type { TapeBlock } from '../../../src/core/export/tape/tape-block.ts';
import { blocksOfImage } from '../../../src/core/export/tape/tape-image.ts';
import { TAPE_SOUND, tapeSamples } from '../../../src/core/export/tape/tape-sound.ts';
import { answerOf } from '../../support/command-line.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const SCHEMA = z.strictObject({
  schema: z.literal('wirepit-tape/1'),
  files: z.array(z.string()),
  baud: z.int(),
  name: z.string().nullable(),
  loadAddress: z.int().nullable(),
  startAddress: z.int().nullable(),
  blocks: z.int().nullable(),
  missing: z.array(z.int()),
  joined: z.int(),
  bytes: z.int(),
  others: z.int(),
  cut: z.array(z.string()),
});
const SONG = 'songs/night-ferry.mid';
const BOARD = 'docs/boards/lantern-80.toml';
let folder: string;
const at = (name: string) => join(folder, name);
beforeEach(() => {
  folder = tempFolder('tape');
});

const readTape = async (...args: string[]) => {
  const { stdout, code } = await answerOf(['prepare', '--from-tape', '--json', ...args]);
  return { report: SCHEMA.parse(JSON.parse(stdout)), code };
};

test('onto a tape and back: the image, byte for byte', async () => {
  await answerOf(['prepare', SONG, '--board', BOARD, '--out', at('song.bin')]);
  await answerOf(['prepare', SONG, '--board', BOARD, '--out', at('song.wav')]);
  const { report, code } = await readTape(at('song.wav'), '--out', at('back.bin'));
  expect(report).toMatchObject({
    baud: 1200,
    name: 'night-ferry.mid',
    loadAddress: 0x4000,
    missing: [],
    joined: 0,
  });
  expect(code).toBe(0);
  expect(readFileSync(at('back.bin')).equals(readFileSync(at('song.bin')))).toBe(true);
});

test('two recordings that are hit at different places join; one alone tells what is missing, exit 1, and keeps the rest', async () => {
  await answerOf(['prepare', SONG, '--board', BOARD, '--out', at('song.wav'), '--wav-rate', '11025']);
  const { samples, sampleRate } = readWav(readFileSync(at('song.wav')));
  const hit = (name: string, seconds: number) => {
    const torn = Int16Array.from(samples, (value) => value * 32_767);
    torn.fill(0, seconds * sampleRate, (seconds + 0.03) * sampleRate);
    writeFileSync(at(name), encodeWav(torn, sampleRate));
    return at(name);
  };
  const first = hit('1.wav', 8);
  const second = hit('2.wav', 12);
  const alone = await readTape(first, '--out', at('part.bin'));
  expect(alone.code).toBe(1);
  expect(alone.report.missing).toHaveLength(1);
  expect(readFileSync(at('part.bin')).length).toBe(alone.report.bytes);
  expect((await readTape(first, second)).report.missing).toEqual([]);
});

const MEMORY = Uint8Array.from({ length: 300 }, (_, n) => (n * 29) & 0xff);
const blocksAt = (bytes: Uint8Array, name = 'x') =>
  blocksOfImage({ bytes, loadAddress: 0x4000, startAddress: 0x4000 }, name, 1200);
const wavOf = (blocks: readonly TapeBlock[], cutSeconds = 0) => {
  const samples = tapeSamples(blocks, { ...TAPE_SOUND, leaderSeconds: 0.5 });
  const wav = encodeWav(samples, TAPE_SOUND.sampleRate);
  return wav.subarray(0, wav.length - 2 * Math.round(cutSeconds * TAPE_SOUND.sampleRate));
};
const put = (name: string, bytes: Uint8Array) => {
  writeFileSync(at(name), bytes);
  return at(name);
};

test('a recording that is cut in a block: the blocks before it are kept, and told, exit 1', async () => {
  const file = put('cut.wav', wavOf(blocksAt(MEMORY), 0.9));
  const { report, code } = await readTape(file, '--out', at('kept.bin'));
  expect(code).toBe(1);
  expect(report).toMatchObject({ missing: [3], cut: [file] });
  const kept = readFileSync(at('kept.bin'));
  expect([...kept.subarray(0, 256)]).toEqual([...MEMORY.subarray(0, 256)]);
  expect([...kept.subarray(256)]).toEqual(new Array(44).fill(0));
});

test('--wav-rate: samples a second as asked for, and read back', async () => {
  await answerOf(['prepare', SONG, '--board', BOARD, '--out', at('song.wav'), '--wav-rate', '11025']);
  expect(readWav(readFileSync(at('song.wav'))).sampleRate).toBe(11_025);
  expect((await readTape(at('song.wav'))).report.missing).toEqual([]);
});

test.each([8_000, 192_000])('the fewest and the most samples a second: %i', async (sampleRate) => {
  const samples = tapeSamples(blocksAt(MEMORY), { ...TAPE_SOUND, leaderSeconds: 0.2, sampleRate });
  const { report } = await readTape(put('rate.wav', encodeWav(samples, sampleRate)));
  expect(report).toMatchObject({ missing: [], bytes: 300 });
});

test('blocks of a tape with another number of blocks are passed over, and told', async () => {
  const one = put('one.wav', wavOf(blocksAt(MEMORY)));
  const other = put('other.wav', wavOf(blocksAt(MEMORY.subarray(0, 100))));
  const { report, code } = await readTape(one, other);
  expect(code).toBe(0);
  expect(report).toMatchObject({ blocks: 3, missing: [], bytes: 300, others: 2 });
  // Whichever is named first.
  expect((await readTape(other, one)).report).toMatchObject({ blocks: 3, bytes: 300, others: 2 });
});

describe('two songs, or blocks where none can be: one line, exit 2', () => {
  test.each<[string, () => string[], RegExp]>([
    [
      'recordings of two songs',
      () => [
        put('a.wav', wavOf(blocksAt(MEMORY))),
        put(
          'b.wav',
          wavOf(
            blocksAt(
              MEMORY.map((byte) => byte ^ 1),
              'x',
            ),
          ),
        ),
      ],
      /block 1 is there twice and differs/,
    ],
    [
      'a block over another',
      () => [
        put(
          'over.wav',
          wavOf(
            blocksAt(MEMORY).map((block) => (block.number === 2 ? { ...block, address: 0x4010 } : block)),
          ),
        ),
      ],
      /block 2 lies at 4010h, over block 1/,
    ],
    [
      'a block outside',
      () => [
        put(
          'out.wav',
          wavOf(
            blocksAt(MEMORY).map((block) => (block.number === 3 ? { ...block, address: 0xfff0 } : block)),
          ),
        ),
      ],
      /block 3 lies at FFF0h, outside of what the head says/,
    ],
  ])('%s', async (_, files, words) => {
    const ran = await answerOf(['prepare', '--from-tape', ...files(), '--out', at('none.bin')]);
    expect(ran).toMatchObject({ code: 2, stdout: '' });
    expect(ran.stderr).toMatch(words);
    expect(ran.stderr.trimEnd().split('\n')).toHaveLength(1);
    expect(existsSync(at('none.bin'))).toBe(false);
  });
});

describe('refused: one line, exit 2', () => {
  const stereo = () => {
    const wav = encodeWav(new Int16Array(1000), 44_100);
    wav[22] = 2;
    return wav;
  };
  test.each<[string, () => Uint8Array, RegExp]>([
    ['song.wav', () => readFileSync(SONG), /byte 0: this is not a WAV file/],
    ['stereo.wav', stereo, /byte 22: it has 2 channels; make it mono/],
    [
      'slow.wav',
      () => encodeWav(new Int16Array(1000), 4000),
      /byte 24: it has 4000 samples a second; record with/,
    ],
    ['long.wav', () => encodeWavHead(61 * 60 * 8000), /it is 61 minutes long, .*; cut out/],
    ['head.wav', () => encodeWav(new Int16Array(10), 44_100).subarray(0, 30), /the format is cut short/],
    ['still.wav', () => encodeWav(new Int16Array(44_100), 44_100), /no block of a tape/],
  ])('%s', async (name, bytes, wanted) => {
    writeFileSync(at(name), bytes());
    const { stderr, code } = await answerOf(['prepare', '--from-tape', at(name)]);
    expect(stderr).toMatch(wanted);
    expect(stderr.trim().split('\n')).toHaveLength(1);
    expect(code).toBe(2);
  });
});

/** Eight bits, 8,000 samples a second, and so many of them: nothing but zeros. */
function encodeWavHead(samples: number): Uint8Array {
  const wav = new Uint8Array(44 + samples);
  wav.set(encodeWav(new Int16Array(0), 8000));
  const view = new DataView(wav.buffer);
  view.setUint16(32, 1, true);
  view.setUint16(34, 8, true);
  view.setUint32(40, samples, true);
  return wav;
}

test('a recording may be larger than a song: 64 MB and more', async () => {
  const wav = new Uint8Array(65 * 1024 * 1024);
  wav.set(wavOf(blocksAt(MEMORY)));
  const { report } = await readTape(put('large.wav', wav));
  expect(report).toMatchObject({ missing: [], bytes: 300 });
});

test('docs/tape.md names every field', () => {
  const page = readFileSync('docs/tape.md', 'utf8');
  for (const field of Object.keys(SCHEMA.shape)) expect(page).toContain(`${field}`);
});
