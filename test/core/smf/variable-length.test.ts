import { describe, expect, it } from 'vitest';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { writeSong } from '../../../src/core/smf/write-song.ts';
import { hex, toHex } from '../../support/hex.ts';
import { chunk, header } from '../../support/song-bytes.ts';

/** The table of SMF 1.1, section 1.1: number, and how it stands in a file. */
const PUBLISHED: readonly (readonly [number: number, bytes: string])[] = [
  [0x00000000, '00'],
  [0x00000040, '40'],
  [0x0000007f, '7F'],
  [0x00000080, '81 00'],
  [0x00002000, 'C0 00'],
  [0x00003fff, 'FF 7F'],
  [0x00004000, '81 80 00'],
  [0x00100000, 'C0 80 00'],
  [0x001fffff, 'FF FF 7F'],
  [0x00200000, '81 80 80 00'],
  [0x08000000, 'C0 80 80 00'],
  [0x0fffffff, 'FF FF FF 7F'],
];

const BEFORE_A_NOTE = '90 3C 40  00 3C 00  00 90 3C 40  00 3C 00  00 FF 2F 00';

describe('variable-length quantities (SMF 1.1, section 1.1)', () => {
  it.each(PUBLISHED)('%i is %s, in the fast lane', (number, bytes) => {
    const song = readSong(
      Uint8Array.from([...header(0, 1, 96), ...chunk('MTrk', hex(bytes + BEFORE_A_NOTE))]),
    );
    expect(song.events.tick[0]).toBe(number);
    expect(song.findings).toEqual([]);
    // Written again, the delta time stands at offset 22 in the same bytes.
    expect(toHex(writeSong(song)).slice(22 * 3)).toMatch(new RegExp(`^${bytes} 90`));
  });

  it.each(PUBLISHED)('%i is %s, before a meta event', (number, bytes) => {
    const song = readSong(Uint8Array.from([...header(0, 1, 96), ...chunk('MTrk', hex(`${bytes} FF 2F 00`))]));
    expect(song.events.tick[0]).toBe(number);
    expect(song.findings).toEqual([]);
  });

  it.each([0, 0x7f, 0x80, 0x3fff, 0x4000])('%i is a length as well', (length) => {
    const bytes = PUBLISHED.find(([number]) => number === length)![1];
    const body = [...hex(`00 FF 01 ${bytes}`), ...new Uint8Array(length).fill(0x41), ...hex('00 FF 2F 00')];
    const song = readSong(Uint8Array.from([...header(0, 1, 96), ...chunk('MTrk', body)]));
    expect(song.payloads.length[0]).toBe(length);
    expect(song.findings).toEqual([]);
  });
});
