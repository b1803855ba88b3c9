import { crc16 } from './crc16.ts';

/**
 * A block on tape. A loader that misses one goes on with the next, and several passes join by number.
 *
 *   offset   0    1     2       3      4         6       7 …     7 + length
 *            5A   C3    number  total  address   length  data    CRC-16
 *                                      low high          bytes   high low
 *
 * Number 0 is the head (`TapeHead`); the others, 1 to `total`, are memory. The CRC goes from the number to the last
 * data byte.
 */
export interface TapeBlock {
  readonly number: number;
  /** How many blocks of memory there are; 1–255. */
  readonly total: number;
  /** Where in memory the data goes. */
  readonly address: number;
  /** 1–255 bytes. */
  readonly data: Uint8Array;
}

export const TAPE_SYNC = [0x5a, 0xc3] as const;
/** Offsets within a block. */
export const BlockAt = { number: 2, total: 3, address: 4, length: 6, data: 7 } as const;
export const MOST_BLOCKS = 255;
export const LONGEST_BLOCK = 255;

/** Bytes a block with so much data has on tape. */
export function blockBytes(dataLength: number): number {
  return BlockAt.data + dataLength + 2;
}

export function encodeTapeBlock({ number, total, address, data }: TapeBlock): Uint8Array {
  const bytes = new Uint8Array(blockBytes(data.length));
  bytes.set([...TAPE_SYNC, number, total, address & 0xff, address >> 8, data.length]);
  bytes.set(data, BlockAt.data);
  const end = BlockAt.data + data.length;
  const crc = crc16(bytes, BlockAt.number, end);
  bytes.set([crc >> 8, crc & 0xff], end);
  return bytes;
}

/** Whether these bytes, from the sync on, are a whole block: its length fits and its CRC is right. */
export function isWholeBlock(bytes: ArrayLike<number>): boolean {
  const end = BlockAt.data + (bytes[BlockAt.length] ?? 0);
  return (
    bytes.length >= end + 2 && crc16(bytes, BlockAt.number, end) === ((bytes[end]! << 8) | bytes[end + 1]!)
  );
}

/** @param bytes a whole block (`isWholeBlock`) */
export function decodeTapeBlock(bytes: Uint8Array): TapeBlock {
  const data = bytes.slice(BlockAt.data, BlockAt.data + bytes[BlockAt.length]!);
  const address = bytes[BlockAt.address]! | (bytes[BlockAt.address + 1]! << 8);
  return { number: bytes[BlockAt.number]!, total: bytes[BlockAt.total]!, address, data };
}
