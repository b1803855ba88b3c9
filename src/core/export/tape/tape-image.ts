import { LONGEST_BLOCK, MOST_BLOCKS, type TapeBlock } from './tape-block.ts';
import type { TapeBaud } from './tape-format.ts';

/** A piece of memory to load, and where to begin. */
export interface MemoryImage {
  readonly bytes: Uint8Array;
  readonly loadAddress: number;
  readonly startAddress: number;
}

/**
 * A block that is lost costs its whole length again, a block that is short costs its frame: 128 bytes are good at
 * 1200 baud, 32 at 300, where a byte is four times as long to be hit (measured with drop-outs; see docs/tape.md).
 */
const BLOCK_DATA: Readonly<Record<TapeBaud, number>> = { 300: 32, 1200: 128 };

/** Data bytes in a block, so that there are never more than 255 blocks. */
export function blockDataLength(imageBytes: number, baud: TapeBaud): number {
  return Math.min(LONGEST_BLOCK, Math.max(BLOCK_DATA[baud], Math.ceil(imageBytes / MOST_BLOCKS)));
}

/** The head, then memory in order. @param image 1 to 65,025 bytes */
export function blocksOfImage(image: MemoryImage, name: string, baud: TapeBaud): TapeBlock[] {
  const { bytes, loadAddress, startAddress } = image;
  const step = blockDataLength(bytes.length, baud);
  const total = Math.ceil(bytes.length / step);
  const head = [
    startAddress & 0xff,
    startAddress >> 8,
    bytes.length & 0xff,
    bytes.length >> 8,
    ...letters(name),
  ];
  const blocks: TapeBlock[] = [{ number: 0, total, address: loadAddress, data: Uint8Array.from(head) }];
  for (let at = 0; at < bytes.length; at += step) {
    const data = bytes.subarray(at, at + step);
    blocks.push({ number: blocks.length, total, address: loadAddress + at, data });
  }
  return blocks;
}

export interface TapeHead extends Omit<MemoryImage, 'bytes'> {
  readonly length: number;
  readonly name: string;
}

/** @returns undefined where the block is no head */
export function readTapeHead({ number, address, data }: TapeBlock): TapeHead | undefined {
  if (number !== 0 || data.length < 4) return undefined;
  return {
    loadAddress: address,
    startAddress: data[0]! | (data[1]! << 8),
    length: data[2]! | (data[3]! << 8),
    name: String.fromCharCode(...data.subarray(4)),
  };
}

const LONGEST_NAME = 24;

/** Printable ASCII; a small machine shows it as it stands. */
function letters(name: string): number[] {
  const plain = name.normalize('NFKD').replaceAll(/[^\x20-\x7e]/g, '');
  return [...plain.slice(0, LONGEST_NAME)].map((letter) => letter.charCodeAt(0));
}
