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
 * @param head what the head says; without one memory begins at the lowest block
 */
export function memoryOfBlocks(
  blocks: readonly TapeBlock[],
  head: TapeHead | undefined,
): MemoryImage | Misplaced {
  const data = blocks.filter(({ number }) => number > 0).sort((a, b) => a.address - b.address);
  const from = head?.loadAddress ?? data[0]?.address ?? 0;
  const end = head === undefined ? endOf(data.at(-1), from) : from + head.length;
  const bytes = new Uint8Array(Math.max(0, Math.min(end, 0x1_0000) - from));
  let before: TapeBlock | undefined;
  for (const block of data) {
    const { number, address } = block;
    if (before !== undefined && address < endOf(before, from))
      return { number, address, over: before.number };
    if (address < from || endOf(block, from) > from + bytes.length)
      return { number, address, over: undefined };
    bytes.set(block.data, address - from);
    before = block;
  }
  return { bytes, loadAddress: from, startAddress: head?.startAddress ?? from };
}

const endOf = (block: TapeBlock | undefined, otherwise: number) =>
  block === undefined ? otherwise : block.address + block.data.length;
