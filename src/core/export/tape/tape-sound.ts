import { encodeTapeBlock, type TapeBlock } from './tape-block.ts';
import { halvesPerBit, TAPE_BITS_PER_BYTE, TAPE_MARK_HZ, type TapeBaud } from './tape-format.ts';

export interface TapeSoundOptions {
  readonly baud: TapeBaud;
  /** Samples a second, 8,000 and more. */
  readonly sampleRate: number;
  /** Ones before the first block, in seconds; the standard asks for five. */
  readonly leaderSeconds: number;
  /** Share of full scale, 0–1. */
  readonly level: number;
}

/** Ones between two blocks: time for a loader to put a block away, and for a decoder to find its feet. */
export const GAP_SECONDS = 0.05;
/** Ones after the last byte, so that a recorder's end does not cut it. */
const TAIL_SECONDS = 0.5;

export const TAPE_SOUND: TapeSoundOptions = { baud: 1200, sampleRate: 44_100, leaderSeconds: 5, level: 0.7 };

/** Seconds a tape of these blocks lasts, leader and gaps included. */
export function tapeSeconds(blocks: readonly TapeBlock[], options: TapeSoundOptions): number {
  return halvesOf(blocks, options) / (2 * TAPE_MARK_HZ);
}

/**
 * The blocks as samples, sixteen bits. Each half cycle begins where the one before ended, at its exact moment and
 * not at the nearest sample, so nothing drifts whatever the rate.
 */
export function tapeSamples(
  blocks: readonly TapeBlock[],
  options: TapeSoundOptions,
): Int16Array<ArrayBuffer> {
  const writer = new HalfCycleWriter(halvesOf(blocks, options), options);
  const perBit = halvesPerBit(options.baud);
  writer.write(markHalves(options.leaderSeconds), 1);
  for (const block of blocks) {
    for (const byte of encodeTapeBlock(block)) {
      // Two ones for stop bits, the eight data bits, a zero to start with: sent from the lowest bit up.
      for (let bits = (0b11 << 9) | (byte << 1), left = TAPE_BITS_PER_BYTE; left > 0; left -= 1, bits >>= 1) {
        if (bits & 1) writer.write(perBit, 1);
        else writer.write(perBit / 2, 2);
      }
    }
    writer.write(markHalves(GAP_SECONDS), 1);
  }
  writer.write(markHalves(TAIL_SECONDS), 1);
  return writer.samples;
}

/** In half cycles of 2400 Hz; a whole number of cycles. */
function markHalves(seconds: number): number {
  return 2 * Math.round(seconds * TAPE_MARK_HZ);
}

function halvesOf(blocks: readonly TapeBlock[], { baud, leaderSeconds }: TapeSoundOptions): number {
  const bytes = blocks.reduce((sum, block) => sum + encodeTapeBlock(block).length, 0);
  const marks =
    markHalves(leaderSeconds) + blocks.length * markHalves(GAP_SECONDS) + markHalves(TAIL_SECONDS);
  return marks + bytes * TAPE_BITS_PER_BYTE * halvesPerBit(baud);
}

class HalfCycleWriter {
  readonly samples: Int16Array<ArrayBuffer>;
  readonly #samplesPerHalf: number;
  readonly #peak: number;
  #halves = 0;
  #sign = 1;

  constructor(halves: number, { sampleRate, level }: TapeSoundOptions) {
    this.#samplesPerHalf = sampleRate / (2 * TAPE_MARK_HZ);
    this.#peak = Math.round(level * 32_767);
    this.samples = new Int16Array(Math.ceil(halves * this.#samplesPerHalf));
  }

  /** @param length of each half cycle, in halves of 2400 Hz */
  write(count: number, length: number): void {
    for (let n = 0; n < count; n += 1) {
      const begin = this.#halves * this.#samplesPerHalf;
      const size = length * this.#samplesPerHalf;
      for (let at = Math.ceil(begin); at < begin + size && at < this.samples.length; at += 1) {
        this.samples[at] = Math.round(this.#sign * this.#peak * Math.sin((Math.PI * (at - begin)) / size));
      }
      this.#halves += length;
      this.#sign = -this.#sign;
    }
  }
}
