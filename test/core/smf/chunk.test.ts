import { describe, expect, it } from 'vitest';
import {
  chunkName,
  isAlienChunkAt,
  isChunkAt,
  isSongChunkAt,
  MTHD,
  MTRK,
  nearlySongChunkAt,
  nextSongChunk,
  read16,
  read32,
} from '../../../src/core/smf/chunk.ts';
import { hex } from '../../support/hex.ts';

const TRACK = '4D54726B 00000002 0102';
const HEAD = '4D546864 00000002 0102';

/** Asks at offset 0 of these bytes, all of them or the first `end`. */
const ask =
  <T>(question: (bytes: Uint8Array, at: number, end: number) => T) =>
  (text: string, end = hex(text).length) =>
    question(hex(text), 0, end);

describe('numbers of a chunk', () => {
  it('are big-endian and unsigned', () => {
    expect(read32(hex('00 01 02 03 04'), 1)).toBe(0x01020304);
    expect(read32(hex('FF FE FD FC'), 0)).toBe(0xfffefdfc);
    expect(read16(hex('00 FF FE'), 1)).toBe(0xfffe);
  });
});

describe('a header or track begins', () => {
  const isSong = ask(isSongChunkAt);
  it('with its letters and its length, wherever it ends', () => {
    expect([TRACK, HEAD, '4D54726B 7FFFFFFF'].map((text) => isSong(text))).toEqual([true, true, true]);
    expect(isSong(TRACK, 8)).toBe(true);
    expect(isSong(TRACK, 7)).toBe(false);
    expect(isSong('4D54726C 00000000')).toBe(false);
  });
});

describe('one damaged byte in the name', () => {
  const nearly = ask(nearlySongChunkAt);

  it('is told from which name it was, whichever byte', () => {
    for (let at = 0; at < 4; at += 1) {
      for (const [text, type] of [
        [TRACK, MTRK],
        [HEAD, MTHD],
      ] as const) {
        const bytes = hex(text);
        bytes[at]! ^= 0xff;
        expect(nearlySongChunkAt(bytes, 0, bytes.length)).toBe(type);
        bytes[(at + 1) % 4]! ^= 0x01;
        expect(nearlySongChunkAt(bytes, 0, bytes.length)).toBe(0);
      }
    }
  });

  it('not where the name is right, or the length does not fit', () => {
    expect([nearly(TRACK), nearly(HEAD)]).toEqual([0, 0]);
    expect(nearly('4D54726C 00000002 0102')).toBe(MTRK);
    expect(nearly('4D54726C 00000002 01')).toBe(0);
    expect(nearly('4D54726C 00000000', 8)).toBe(MTRK);
    expect(nearly('4D54726C 00000000', 7)).toBe(0);
  });
});

describe('a chunk of another kind', () => {
  const isAlien = ask(isAlienChunkAt);

  it('has four letters that can be printed, and a length that fits', () => {
    expect(isAlien('20 7E 41 42 00000001 00')).toBe(true);
    expect(isAlien('20 7E 41 42 00000001')).toBe(false);
    for (let at = 0; at < 4; at += 1) {
      for (const byte of [0x1f, 0x7f]) {
        const bytes = hex('58585858 00000000');
        bytes[at] = byte;
        expect(isAlienChunkAt(bytes, 0, 8)).toBe(false);
      }
    }
    // What follows the name need not be printed.
    expect(isAlien('58585858 00000001 FF')).toBe(true);
  });

  it('is none of ours', () => {
    expect([isAlien(TRACK), isAlien(HEAD)]).toEqual([false, false]);
    const isAny = ask(isChunkAt);
    expect([TRACK, HEAD, '58585858 00000000', '0054726B 00000000'].map((text) => isAny(text))).toEqual([
      true,
      true,
      true,
      true,
    ]);
    expect(isAny('00005858 00000000')).toBe(false);
  });

  it('is named with dots for what cannot be printed', () => {
    expect(chunkName(hex('00 1F 20 41 7E 7F'), 1)).toBe('. A~');
    expect(chunkName(hex('7F 80 FF 00'), 0)).toBe('....');
  });
});

describe('the next header or track', () => {
  it('is the first at or behind an offset whose length is there too', () => {
    const bytes = hex(`4D 4D54 ${TRACK} ${HEAD}`);
    expect(nextSongChunk(bytes, 0, bytes.length)).toBe(3);
    expect(nextSongChunk(bytes, 3, bytes.length)).toBe(3);
    expect(nextSongChunk(bytes, 4, bytes.length)).toBe(13);
    expect(nextSongChunk(bytes, 4, 21)).toBe(13);
    expect(nextSongChunk(bytes, 4, 20)).toBe(-1);
    expect(nextSongChunk(bytes, 14, bytes.length)).toBe(-1);
  });
});
