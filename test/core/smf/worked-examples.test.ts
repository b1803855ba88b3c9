import { describe, expect, it } from 'vitest';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { writeSong } from '../../../src/core/smf/write-song.ts';
import { songRows } from '../../support/song-rows.ts';
import { FORMAT_0, FORMAT_1 } from '../../support/worked-examples.ts';

describe("the specification's worked examples (SMF 1.1, Appendix 2)", () => {
  it('reads the format 0 file', () => {
    const song = readSong(FORMAT_0);
    expect(FORMAT_0.length).toBe(81);
    expect(song.format).toBe(0);
    expect(song.division).toEqual({ kind: 'quarter', ticksPerQuarter: 96 });
    expect(song.findings).toEqual([]);
    expect(songRows(song)).toEqual([
      '1: 0 FF 58 00 | 04 02 18 08',
      '1: 0 FF 51 00 | 07 A1 20',
      '1: 0 C0 05 00',
      '1: 0 C1 2E 00',
      '1: 0 C2 46 00',
      '1: 0 92 30 60',
      '1: 0 92 3C 60',
      '1: 96 91 43 40',
      '1: 192 90 4C 20',
      '1: 384 82 30 40',
      '1: 384 82 3C 40',
      '1: 384 81 43 40',
      '1: 384 80 4C 40',
      '1: 384 FF 2F 00 |',
    ]);
  });

  it('reads the format 1 file', () => {
    const song = readSong(FORMAT_1);
    expect(FORMAT_1.length).toBe(118);
    expect(song.format).toBe(1);
    expect(song.findings).toEqual([]);
    expect(songRows(song)).toEqual([
      '1: 0 FF 58 00 | 04 02 18 08',
      '1: 0 FF 51 00 | 07 A1 20',
      '1: 384 FF 2F 00 |',
      '2: 0 C0 05 00',
      '2: 192 90 4C 20',
      '2: 384 90 4C 00',
      '2: 384 FF 2F 00 |',
      '3: 0 C1 2E 00',
      '3: 96 91 43 40',
      '3: 384 91 43 00',
      '3: 384 FF 2F 00 |',
      '4: 0 C2 46 00',
      '4: 0 92 30 60',
      '4: 0 92 3C 60',
      '4: 384 92 30 00',
      '4: 384 92 3C 00',
      '4: 384 FF 2F 00 |',
    ]);
  });

  it('writes both back byte for byte', () => {
    expect(writeSong(readSong(FORMAT_0))).toEqual(FORMAT_0);
    expect(writeSong(readSong(FORMAT_1))).toEqual(FORMAT_1);
  });
});
