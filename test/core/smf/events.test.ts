import { describe, expect, it } from 'vitest';
import { readSong } from '../../../src/core/smf/read-song.ts';
import type { Song } from '../../../src/core/smf/song.ts';
import { hex } from '../../support/hex.ts';
import { chunk, header } from '../../support/song-bytes.ts';
import { songRows } from '../../support/song-rows.ts';

function read(body: string, division = 96): Song {
  return readSong(
    Uint8Array.from([...header(0, 1, division), ...chunk('MTrk', hex(`${body}\n 00 FF 2F 00`))]),
  );
}

/** Rows without the end-of-track. */
function rowsOf(body: string): string[] {
  const song = read(body);
  expect(song.findings).toEqual([]);
  return songRows(song).slice(0, -1);
}

describe('SysEx events (SMF 1.1, section 2.3)', () => {
  it('one packet: wire F0 43 12 00 07 F7 is stored F0 05 43 12 00 07 F7', () => {
    expect(rowsOf('00 F0 05 43 12 00 07 F7')).toEqual(['1: 0 F0 00 00 | 43 12 00 07 F7']);
  });

  it('three packets with time between them, as printed there', () => {
    expect(
      rowsOf(`
        00 F0 03 43 12 00
        81 48 F7 06 43 12 00 43 12 00    -- 200 ticks later
        64 F7 04 43 12 00 F7             -- 100 ticks later`),
    ).toEqual([
      '1: 0 F0 00 00 | 43 12 00',
      '1: 200 F7 00 00 | 43 12 00 43 12 00',
      '1: 300 F7 00 00 | 43 12 00 F7',
    ]);
  });

  it('a delta time that begins with F7, between packets', () => {
    expect(rowsOf('00 F0 01 43  F7 00 F7 01 F7')).toEqual(['1: 0 F0 00 00 | 43', '1: 15232 F7 00 00 | F7']);
  });

  it('an escape may hold anything: real-time, song position, several messages', () => {
    expect(rowsOf('00 F7 01 FA  00 F7 03 F2 0A 00  00 F7 04 90 3C 40 F8')).toEqual([
      '1: 0 F7 00 00 | FA',
      '1: 0 F7 00 00 | F2 0A 00',
      '1: 0 F7 00 00 | 90 3C 40 F8',
    ]);
  });

  it('keeps the order of packets and channel messages of one tick', () => {
    expect(rowsOf('00 B0 07 64  00 F0 02 7D F7  00 90 3C 40')).toEqual([
      '1: 0 B0 07 64',
      '1: 0 F0 00 00 | 7D F7',
      '1: 0 90 3C 40',
    ]);
  });
});

describe('channel messages', () => {
  it('of every kind, with status and by running status', () => {
    expect(
      rowsOf(`
        00 80 3C 40  01 3D 41
        00 91 3C 00  01 3D 7F
        00 A2 3C 01  01 3D 02
        00 B3 07 64  01 0A 40
        00 C4 00     01 7F
        00 D5 10     01 11
        00 EF 00 40  01 7F 7F`),
    ).toEqual([
      '1: 0 80 3C 40',
      '1: 1 80 3D 41',
      '1: 1 91 3C 00',
      '1: 2 91 3D 7F',
      '1: 2 A2 3C 01',
      '1: 3 A2 3D 02',
      '1: 3 B3 07 64',
      '1: 4 B3 0A 40',
      '1: 4 C4 00 00',
      '1: 5 C4 7F 00',
      '1: 5 D5 10 00',
      '1: 6 D5 11 00',
      '1: 6 EF 00 40',
      '1: 7 EF 7F 7F',
    ]);
  });
});

describe('meta events (SMF 1.1, section 3.1)', () => {
  it('keeps every type with its bytes', () => {
    const types = Array.from({ length: 128 }, (_, type) => type).filter((type) => type !== 0x2f);
    const song = readSong(
      Uint8Array.from([
        ...header(0, 1, 96),
        ...chunk('MTrk', [...types.flatMap((type) => [0, 0xff, type, 2, type, 1]), 0, 0xff, 0x2f, 0]),
      ]),
    );
    const expected = types.map((type) => {
      const two = type.toString(16).toUpperCase().padStart(2, '0');
      return `1: 0 FF ${two} 00 | ${two} 01`;
    });
    expect(songRows(song).slice(0, -1)).toEqual(expected);
  });
});

describe('the division (SMF 1.1, section 2.1)', () => {
  it.each([
    ['1 tick a quarter note', 0x0001, { kind: 'quarter', ticksPerQuarter: 1 }],
    ['the most there are', 0x7fff, { kind: 'quarter', ticksPerQuarter: 32_767 }],
    ['24 frames a second', 0xe804, { kind: 'smpte', framesPerSecond: 24, ticksPerFrame: 4 }],
    [
      '25 × 40, ticks of a millisecond (published)',
      0xe728,
      { kind: 'smpte', framesPerSecond: 25, ticksPerFrame: 40 },
    ],
    ['30 drop frame, named 29', 0xe350, { kind: 'smpte', framesPerSecond: 29, ticksPerFrame: 80 }],
    ['30 × 80: E250 (published)', 0xe250, { kind: 'smpte', framesPerSecond: 30, ticksPerFrame: 80 }],
  ] as const)('%s', (_, word, division) => {
    const song = read('', word);
    expect(song.division).toEqual(division);
    expect(song.findings).toEqual([]);
  });
});

describe('formats (SMF 1.1, section 2.1)', () => {
  it.each([0, 1, 2, 7])('%i is kept as it stands', (format) => {
    const track = chunk('MTrk', hex('00 FF 2F 00'));
    const song = readSong(
      Uint8Array.from([
        ...header(format, format === 0 ? 1 : 2, 96),
        ...track,
        ...(format === 0 ? [] : track),
      ]),
    );
    expect(song.format).toBe(format);
    expect([...song.trackStart]).toEqual(format === 0 ? [0, 1] : [0, 1, 2]);
    expect(song.findings.map((finding) => finding.code)).toEqual(format > 2 ? ['format-unknown'] : []);
  });
});
