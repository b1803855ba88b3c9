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

  test('twenty-four and thirty-two bits from the middle, lowest byte first', () => {
    const of24 = wav('01 00 01 00 44 AC 00 00 CC 04 02 00 03 00 18 00', '00 00 40 FF');
    // The fourth byte is no whole sample.
    expect([...readWav(of24).samples]).toEqual([0.5]);
    const low24 = wav('01 00 01 00 44 AC 00 00 CC 04 02 00 03 00 18 00', '01 80 FF 00');
    expect([...readWav(low24).samples]).toEqual([-0x7fff / 2 ** 23]);
    const of32 = wav('01 00 01 00 44 AC 00 00 10 B1 02 00 04 00 20 00', '00 00 00 C0');
    expect([...readWav(of32).samples]).toEqual([-0.5]);
  });

  test('floating point is as it stands (IEEE 754)', () => {
    const float = wav('03 00 01 00 44 AC 00 00 10 B1 02 00 04 00 20 00', '00 00 20 BF');
    expect([...readWav(float).samples]).toEqual([-0.625]);
  });

  /** A file of chunks: letters, and bytes as hex; a length that is not that of the bytes is given. */
  const chunks = (...all: readonly (readonly [string, string, number?])[]) =>
    Uint8Array.from([
      ...hex('52 49 46 46 00 00 00 00 57 41 56 45'),
      ...all.flatMap(([name, text, length = hex(text).length]) => [
        ...new TextEncoder().encode(name),
        ...[length & 0xff, (length >> 8) & 0xff, (length >> 16) & 0xff, length >>> 24],
        ...hex(text),
        ...(hex(text).length % 2 === 1 ? [0] : []),
      ]),
    ]);

  test('an extensible format has its true code 24 bytes further', () => {
    const rest = '44 AC 00 00 88 58 01 00 02 00 10 00';
    const extension = '16 00 10 00 04 00 00 00';
    const file = (code: string) =>
      chunks(['fmt ', `FE FF 01 00 ${rest} ${extension} ${code}`], ['data', '00 40']);
    expect([...readWav(file('01 00')).samples]).toEqual([0.5]);
    expect(() => readWav(file('02 00'))).toThrow('format 2 with 16 bits');
    // Too short to have it.
    expect(() =>
      readWav(chunks(['fmt ', `FE FF 01 00 ${rest} 00 00 00 00 00 00 00 00 01`], ['data', '00 40'])),
    ).toThrow('format 65534 with 16 bits');
  });

  test('other chunks are passed over, with the byte that makes them even', () => {
    const file = chunks(
      ['note', '01 02 03'],
      ['fmt ', MONO_16],
      ['cue ', '01 02'],
      ['data', '00 C0'],
      ['data', '00 40'],
    );
    expect(readWav(file)).toEqual({ samples: Float32Array.of(-0.5), sampleRate: 44_100, isCut: false });
    expect([...readWav(chunks(['fmt ', MONO_16], ['data', ''])).samples]).toEqual([]);
  });

  test('what is wrong with chunks is told with its place', () => {
    const trouble = (file: Uint8Array) => {
      try {
        return readWav(file).samples.length;
      } catch (error) {
        const { offset, reason, message, nextStep } = error as UnreadableWav;
        expect(message).toBe(`${reason}; ${nextStep}`);
        return `${offset}: ${reason}`;
      }
    };
    expect(trouble(chunks(['data', '00 40'], ['fmt ', MONO_16]))).toBe(
      '12: the sound comes before its format',
    );
    expect(trouble(chunks(['fmt ', '01 00 01 00']))).toBe('20: the format is cut short');
    expect(trouble(chunks(['fmt ', '01 00 01 00 44 AC 00 00 88 58 01 00 02 00', 16]))).toBe(
      '20: the format is cut short',
    );
    expect(trouble(chunks(['fmt ', MONO_16, 18], ['data', '00 40']))).not.toBe('20: the format is cut short');
    expect(trouble(chunks(['fmt ', MONO_16, 18]))).toBe('20: the format is cut short');
    expect(trouble(chunks(['fmt ', MONO_16]))).toBe('36: there is no sound in this WAV file');
    const other = chunks(['fmt ', MONO_16], ['data', '00 40']);
    other[8] = 0x41;
    expect(trouble(other)).toBe('0: this is not a WAV file');
  });

  test('8,000 to 192,000 samples a second', () => {
    const at = (rate: number) => {
      const bytes = [rate & 0xff, (rate >> 8) & 0xff, rate >> 16, 0].map((byte) =>
        byte.toString(16).padStart(2, '0'),
      );
      return () => readWav(wav(`01 00 01 00 ${bytes.join(' ')} 00 00 00 00 02 00 10 00`)).sampleRate;
    };
    expect([at(8_000)(), at(192_000)()]).toEqual([8_000, 192_000]);
    for (const rate of [7_999, 192_001]) expect(at(rate)).toThrow(`it has ${rate} samples a second`);
  });

  test('what kinds of samples there are: 12 bits are none, nor sixteen bits of floating point', () => {
    for (const [code, bits] of [
      ['01', '0C'],
      ['03', '10'],
      ['02', '20'],
      ['03', '40'],
    ] as const)
      expect(() => readWav(wav(`${code} 00 01 00 44 AC 00 00 88 58 01 00 02 00 ${bits} 00`))).toThrow(
        `it is of format ${Number(code)} with ${Number.parseInt(bits, 16)} bits`,
      );
  });

  test('a recording longer than an hour is no tape: 60 minutes and some seconds are let in', () => {
    // Sixteen bits, 8000 a second: 960,000 bytes a minute.
    const minutes = (count: number) => {
      const file = new Uint8Array(44 + 960_000 * count);
      file.set(wav('01 00 01 00 40 1F 00 00 80 3E 00 00 02 00 10 00').subarray(0, 40));
      new DataView(file.buffer).setUint32(40, 960_000 * count, true);
      return file;
    };
    const words = 'it is 61 minutes long, and a tape of 64 KB has 60 at most';
    expect(() => readWav(minutes(61))).toThrow(expect.objectContaining({ offset: 40, reason: words }));
    // Its sound is made up no further than the file has it.
    const given = minutes(1);
    new DataView(given.buffer).setUint32(40, 0xffff_fff0, true);
    expect(readWav(given)).toMatchObject({ isCut: true, samples: { length: 480_000 } });
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
