import { describe, expect, test } from 'vitest';
import { encodeWav } from '../../../../src/core/export/tape/encode-wav.ts';
import { readWav, UnreadableWav } from '../../../../src/core/export/tape/read-wav.ts';
import { hex } from '../../../support/hex.ts';

/** Head of a WAV file by hand: RIFF, fmt with its values, data with four bytes. */
const wav = (format: string, data = '00 40 00 C0') =>
  hex(
    `52 49 46 46 28 00 00 00 57 41 56 45  66 6D 74 20 10 00 00 00 ${format}  64 61 74 61 04 00 00 00 ${data}`,
  );

const MONO_16 = '01 00 01 00 44 AC 00 00 88 58 01 00 02 00 10 00';

describe('reading', () => {
  test('sixteen bits, one channel: 4000h is a half, C000h minus a half', () => {
    const { samples, sampleRate, isCut } = readWav(wav(MONO_16));
    expect([...samples]).toEqual([0.5, -0.5]);
    expect({ sampleRate, isCut }).toEqual({ sampleRate: 44_100, isCut: false });
  });

  test('eight bits are counted from 0', () => {
    const { samples } = readWav(wav('01 00 01 00 11 2B 00 00 11 2B 00 00 01 00 08 00', '80 C0 40 00'));
    expect([...samples]).toEqual([0, 0.5, -0.5, -1]);
  });

  test('what is written is read', () => {
    const samples = Int16Array.of(0, 32_767, -32_768, 5);
    const back = readWav(encodeWav(samples, 9600));
    expect([...back.samples].map((value) => value * 32_768)).toEqual([...samples]);
    expect(back.sampleRate).toBe(9600);
  });

  test('what is written has the head that stands above', () => {
    expect(encodeWav(Int16Array.of(0x4000, -0x4000), 44_100)).toEqual(wav(MONO_16));
  });

  test('a file broken off in its sound gives what is there', () => {
    const { samples, isCut } = readWav(wav(MONO_16).subarray(0, 46));
    expect([...samples]).toEqual([0.5]);
    expect(isCut).toBe(true);
  });
});

describe('refused, with offset and next step', () => {
  const refusal = (file: Uint8Array) => {
    try {
      readWav(file);
    } catch (error) {
      if (error instanceof UnreadableWav) return { offset: error.offset, reason: error.reason };
    }
    return 'not refused';
  };

  test.each<[string, Uint8Array, { offset: number; reason: string }]>([
    ['no WAV', hex('4D 54 68 64 00 00'), { offset: 0, reason: 'this is not a WAV file' }],
    ['nothing', hex(''), { offset: 0, reason: 'this is not a WAV file' }],
    [
      'stereo',
      wav('01 00 02 00 44 AC 00 00 10 B1 02 00 04 00 10 00'),
      { offset: 22, reason: 'it has 2 channels' },
    ],
    [
      '4,000 samples a second',
      wav('01 00 01 00 A0 0F 00 00 40 1F 00 00 02 00 10 00'),
      { offset: 24, reason: 'it has 4000 samples a second' },
    ],
    [
      'compressed',
      wav('55 00 01 00 44 AC 00 00 88 58 01 00 02 00 10 00'),
      { offset: 20, reason: 'it is of format 85 with 16 bits' },
    ],
    [
      'without sound',
      wav(MONO_16).subarray(0, 36),
      { offset: 36, reason: 'there is no sound in this WAV file' },
    ],
  ])('%s', (_, file, wanted) => {
    expect(refusal(file)).toEqual(wanted);
  });
});
