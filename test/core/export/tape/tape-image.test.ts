import { describe, expect, test } from 'vitest';
import {
  decodeTapeBlock,
  encodeTapeBlock,
  isWholeBlock,
} from '../../../../src/core/export/tape/tape-block.ts';
import { tapeByteSeconds } from '../../../../src/core/export/tape/tape-format.ts';
import { blockDataLength, blocksOfImage, readTapeHead } from '../../../../src/core/export/tape/tape-image.ts';
import { memoryOfBlocks } from '../../../../src/core/export/tape/tape-memory.ts';

const count = (length: number) => Uint8Array.from({ length }, (_, n) => n & 0xff);

describe('the blocks of an image', () => {
  test('short blocks at 300 baud, longer ones where there would be more than 255', () => {
    expect([1, 255 * 32, 255 * 32 + 1, 255 * 64].map((bytes) => blockDataLength(bytes, 300))).toEqual([
      32, 32, 33, 64,
    ]);
    expect([1, 255 * 128, 255 * 128 + 1].map((bytes) => blockDataLength(bytes, 1200))).toEqual([
      128, 128, 129,
    ]);
    expect([255 * 255, 0x1_0000].map((bytes) => blockDataLength(bytes, 1200))).toEqual([255, 255]);
  });

  test('the head: start, length, name; then memory piece by piece', () => {
    const image = { bytes: count(300), loadAddress: 0x41f0, startAddress: 0x4302 };
    const blocks = blocksOfImage(image, 'Up', 1200);
    expect(blocks.map(({ number, total, address, data }) => [number, total, address, data.length])).toEqual([
      [0, 3, 0x41f0, 6],
      [1, 3, 0x41f0, 128],
      [2, 3, 0x4270, 128],
      [3, 3, 0x42f0, 44],
    ]);
    expect([...blocks[0]!.data]).toEqual([0x02, 0x43, 300 - 256, 1, 0x55, 0x70]);
    expect([...blocks[3]!.data]).toEqual([...image.bytes.subarray(256)]);
    expect(readTapeHead(blocks[0]!)).toEqual({
      loadAddress: 0x41f0,
      startAddress: 0x4302,
      length: 300,
      name: 'Up',
    });
    expect(blocksOfImage({ ...image, bytes: count(256) }, '', 1200)).toHaveLength(3);
  });

  test('a name in letters that any machine shows, two dozen at most', () => {
    const nameOf = (name: string) =>
      readTapeHead(blocksOfImage({ bytes: count(1), loadAddress: 0, startAddress: 0 }, name, 300)[0]!)!.name;
    expect(nameOf('Mélodie – für Elfen ~!\n')).toBe('Melodie  fur Elfen ~!');
    expect(nameOf('abcdefghijklmnopqrstuvwxyz')).toBe('abcdefghijklmnopqrstuvwx');
  });

  test('what is no head: another number, or too little in it', () => {
    const head = { number: 0, total: 1, address: 0x1234, data: Uint8Array.of(1, 2, 3, 4) };
    expect(readTapeHead(head)).toEqual({
      loadAddress: 0x1234,
      startAddress: 0x0201,
      length: 0x0403,
      name: '',
    });
    expect(readTapeHead({ ...head, number: 1 })).toBeUndefined();
    expect(readTapeHead({ ...head, data: head.data.subarray(1) })).toBeUndefined();
  });

  test('eleven bits a byte', () => {
    expect([tapeByteSeconds(300, 300), tapeByteSeconds(300, 1200)]).toEqual([11, 2.75]);
  });
});

describe('a block is whole', () => {
  const bytes = encodeTapeBlock({ number: 3, total: 4, address: 0x8102, data: Uint8Array.of(7, 8) });

  test('where its CRC is right and all of it is there, whatever follows', () => {
    expect(isWholeBlock(bytes)).toBe(true);
    expect(isWholeBlock([...bytes, 1, 2])).toBe(true);
    expect(isWholeBlock(bytes.subarray(0, -1))).toBe(false);
    expect(isWholeBlock([])).toBe(false);
    for (let at = 2; at < bytes.length; at += 1)
      expect([at, isWholeBlock(bytes.with(at, bytes[at]! ^ 1))]).toEqual([at, false]);
    expect(decodeTapeBlock(bytes)).toEqual({
      number: 3,
      total: 4,
      address: 0x8102,
      data: Uint8Array.of(7, 8),
    });
  });
});

describe('memory from blocks', () => {
  const block = (number: number, address: number, ...data: number[]) => ({
    number,
    total: 3,
    address,
    data: Uint8Array.from(data),
  });
  const head = { loadAddress: 0x100, startAddress: 0x102, length: 6, name: '' };

  test('in its place, however the blocks come; what is missing is 0; the head is none of it', () => {
    expect(
      memoryOfBlocks([block(2, 0x104, 5, 6), block(0, 0x100, 9, 9), block(1, 0x100, 1, 2)], head),
    ).toEqual({
      bytes: Uint8Array.of(1, 2, 0, 0, 5, 6),
      loadAddress: 0x100,
      startAddress: 0x102,
    });
  });

  test('without a head from the lowest to the end of the highest, and begun there', () => {
    expect(memoryOfBlocks([block(2, 0x204, 5), block(1, 0x201, 1, 2, 3)], undefined)).toEqual({
      bytes: Uint8Array.of(1, 2, 3, 5),
      loadAddress: 0x201,
      startAddress: 0x201,
    });
    expect(memoryOfBlocks([], undefined)).toEqual({
      bytes: new Uint8Array(0),
      loadAddress: 0,
      startAddress: 0,
    });
    expect(memoryOfBlocks([], head)).toMatchObject({ bytes: { length: 6 } });
  });

  test('a block over another, outside of what the head gives, or past FFFFh is told', () => {
    const misplaced = (over: number | undefined, number: number, address: number) => ({
      number,
      address,
      over,
    });
    expect(memoryOfBlocks([block(1, 0x100, 1, 2), block(2, 0x101, 3)], head)).toEqual(misplaced(1, 2, 0x101));
    expect(memoryOfBlocks([block(1, 0x100, 1, 2), block(2, 0x100, 3)], undefined)).toEqual(
      misplaced(1, 2, 0x100),
    );
    expect(memoryOfBlocks([block(1, 0xff, 1, 2)], head)).toEqual(misplaced(undefined, 1, 0xff));
    expect(memoryOfBlocks([block(1, 0x104, 1, 2, 3)], head)).toEqual(misplaced(undefined, 1, 0x104));
    expect(memoryOfBlocks([block(1, 0xfffe, 1, 2)], undefined)).toMatchObject({ bytes: Uint8Array.of(1, 2) });
    expect(memoryOfBlocks([block(1, 0xffff, 1, 2)], undefined)).toEqual(misplaced(undefined, 1, 0xffff));
    const high = { ...head, loadAddress: 0xfffc };
    expect(memoryOfBlocks([block(1, 0xfffc, 1)], high)).toMatchObject({ bytes: Uint8Array.of(1, 0, 0, 0) });
  });
});
