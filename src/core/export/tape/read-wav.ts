export interface WavSound {
  /** -1 … 1. */
  readonly samples: Float32Array;
  readonly sampleRate: number;
  /** The file ends before the length it gives: a recording that was broken off. */
  readonly isCut: boolean;
}

/** Thrown for a file that is no WAV, or one that tape cannot be read from. */
export class UnreadableWav extends Error {
  override readonly name = 'UnreadableWav';

  constructor(
    /** Byte offset of what is wrong. */
    readonly offset: number,
    readonly reason: string,
    readonly nextStep: string,
  ) {
    super(`${reason}; ${nextStep}`);
  }
}

export const LOWEST_RATE = 8000;
export const HIGHEST_RATE = 192_000;
/** 64 KB at 300 baud last 41; leader, pauses and a slow tape are let in. */
const LONGEST_MINUTES = 60;

/**
 * Reads a RIFF/WAVE file of one channel: PCM of 8, 16, 24 or 32 bits, or 32-bit floating point.
 * @throws UnreadableWav
 */
export function readWav(file: Uint8Array): WavSound {
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength);
  const word = (at: number) => String.fromCharCode(...file.subarray(at, at + 4));
  if (word(0) !== 'RIFF' || word(8) !== 'WAVE') {
    throw new UnreadableWav(0, 'this is not a WAV file', 'record or convert the tape to WAV, one channel');
  }
  let format: Format | undefined;
  for (let at = 12; at + 8 <= file.length; ) {
    const length = view.getUint32(at + 4, true);
    const body = at + 8;
    if (word(at) === 'fmt ') format = readFormat(view, body, length);
    if (word(at) === 'data') {
      if (format === undefined)
        throw new UnreadableWav(at, 'the sound comes before its format', 'write the file anew');
      const end = Math.min(file.length, body + length);
      const { bits, sampleRate } = format;
      const minutes = Math.floor((end - body) / (bits / 8) / sampleRate / 60);
      if (minutes > LONGEST_MINUTES)
        throw new UnreadableWav(
          at + 4,
          `it is ${minutes} minutes long, and a tape of 64 KB has ${LONGEST_MINUTES} at most`,
          'cut out the part with the song',
        );
      return {
        samples: samplesOf(view, body, end, format),
        sampleRate: format.sampleRate,
        isCut: body + length > file.length,
      };
    }
    at = body + length + (length & 1);
  }
  throw new UnreadableWav(file.length, 'there is no sound in this WAV file', 'record the tape again');
}

interface Format {
  readonly sampleRate: number;
  readonly bits: number;
  readonly isFloat: boolean;
}

const PCM = 1;
const FLOAT = 3;
/** The true code then stands 24 bytes into the chunk. */
const EXTENSIBLE = 0xfffe;

function readFormat(view: DataView, at: number, length: number): Format {
  if (length < 16 || at + length > view.byteLength) {
    throw new UnreadableWav(at, 'the format is cut short', 'record the tape again');
  }
  const first = view.getUint16(at, true);
  const code = first === EXTENSIBLE && length >= 26 ? view.getUint16(at + 24, true) : first;
  const channels = view.getUint16(at + 2, true);
  const sampleRate = view.getUint32(at + 4, true);
  const bits = view.getUint16(at + 14, true);
  if (channels !== 1) {
    throw new UnreadableWav(
      at + 2,
      `it has ${channels} channels`,
      'make it mono: keep the channel that is louder',
    );
  }
  if (sampleRate < LOWEST_RATE || sampleRate > HIGHEST_RATE) {
    const range = `${LOWEST_RATE} to ${HIGHEST_RATE}`;
    throw new UnreadableWav(
      at + 4,
      `it has ${sampleRate} samples a second`,
      `record with ${range}; 44100 is good`,
    );
  }
  const isFloat = code === FLOAT && bits === 32;
  if (!isFloat && !(code === PCM && [8, 16, 24, 32].includes(bits))) {
    const kind = `it is of format ${code} with ${bits} bits`;
    throw new UnreadableWav(at, kind, 'write it as plain PCM, 16 bits');
  }
  return { sampleRate, bits, isFloat };
}

function samplesOf(view: DataView, from: number, end: number, { bits, isFloat }: Format): Float32Array {
  const step = bits / 8;
  const samples = new Float32Array(Math.floor((end - from) / step));
  for (let n = 0, at = from; n < samples.length; n += 1, at += step) {
    samples[n] = isFloat ? view.getFloat32(at, true) : wholeNumber(view, at, bits) / 2 ** (bits - 1);
  }
  return samples;
}

/** Eight bits are counted from 0, all others from the middle. */
function wholeNumber(view: DataView, at: number, bits: number): number {
  if (bits === 8) return view.getUint8(at) - 128;
  if (bits === 16) return view.getInt16(at, true);
  if (bits === 24) return view.getUint16(at, true) | (view.getInt8(at + 2) << 16);
  return view.getInt32(at, true);
}
