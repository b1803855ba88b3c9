import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { encodeWav } from '../../../src/core/export/tape/encode-wav.ts';
import { readWav } from '../../../src/core/export/tape/read-wav.ts';
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
  await answerOf(['prepare', SONG, '--board', BOARD, '--out', at('song.wav')]);
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

describe('refused: one line, exit 2', () => {
  const stereo = () => {
    const wav = encodeWav(new Int16Array(1000), 44_100);
    wav[22] = 2;
    return wav;
  };
  test.each<[string, () => Uint8Array, RegExp]>([
    ['song.wav', () => readFileSync(SONG), /byte 0: this is not a WAV file/],
    ['stereo.wav', stereo, /byte 22: it has 2 channels; make it mono/],
    ['still.wav', () => encodeWav(new Int16Array(44_100), 44_100), /no block of a tape/],
  ])('%s', async (name, bytes, wanted) => {
    writeFileSync(at(name), bytes());
    const { stderr, code } = await answerOf(['prepare', '--from-tape', at(name)]);
    expect(stderr).toMatch(wanted);
    expect(stderr.trim().split('\n')).toHaveLength(1);
    expect(code).toBe(2);
  });
});

test('docs/tape.md names every field', () => {
  const page = readFileSync('docs/tape.md', 'utf8');
  for (const field of Object.keys(SCHEMA.shape)) expect(page).toContain(`${field}`);
});
