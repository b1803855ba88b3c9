import type { TapeBlock } from './tape-block.ts';
import type { MemoryImage, TapeHead } from './tape-image.ts';

/** A block that cannot be where it says: outside of what the head gives, past FFFFh, or over another block. */
export interface Misplaced {
  readonly number: number;
  readonly address: number;
  readonly over: number | undefined;
}

/**
 * Memory from the blocks of a tape; a block that is missing is left as zeros, in its place.
 * @param head what the head says; without one memory is from the lowest block to the highest
 */
export function memoryOfBlocks(
  blocks: readonly TapeBlock[],
  head: TapeHead | undefined,
): MemoryImage | Misplaced {
  const data = blocks.filter(({ number }) => number > 0).sort((a, b) => a.address - b.address);
  const from = head?.loadAddress ?? data[0]?.address ?? 0;
  const end = head === undefined ? Math.max(from, ...data.map(endOf)) : from + head.length;
  const bytes = new Uint8Array(Math.max(0, Math.min(end, 0x1_0000) - from));
  let before: TapeBlock | undefined;
  for (const block of data) {
    const { number, address } = block;
    if (before !== undefined && address < endOf(before)) return { number, address, over: before.number };
    if (address < from || endOf(block) > from + bytes.length) return { number, address, over: undefined };
    bytes.set(block.data, address - from);
    before = block;
  }
  return { bytes, loadAddress: from, startAddress: head?.startAddress ?? from };
}

const endOf = ({ address, data }: TapeBlock) => address + data.length;
