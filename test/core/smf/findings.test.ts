// Long because it is one table: a sample for every finding, to be read beside the table of findings.

import { describe, expect, it } from 'vitest';
import { FindingList, LISTED_PER_CODE } from '../../../src/core/smf/finding-list.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import type { Song } from '../../../src/core/smf/song.ts';
import { SONG_FINDINGS, type SongFindingCode } from '../../../src/core/smf/song-findings.ts';
import { hex } from '../../support/hex.ts';
import { brokenLaw } from '../../support/song-laws.ts';
import { songRows } from '../../support/song-rows.ts';

/** MThd, format 0, one track, 96 ticks a quarter note. */
const HEADER = '4D546864 00000006 0000 0001 0060';
const NOTE = '00 90 3C 40  60 80 3C 40';
const END = '00 FF 2F 00';
const MIDDLE_C = ['1: 0 90 3C 40', '1: 96 80 3C 40', '1: 96 FF 2F 00 |'];

/** Header and one track of these bytes, its length right. */
function oneTrack(body: string): string {
  return `${HEADER} ${mtrk(body)}`;
}

function mtrk(body: string, said = hex(body).length): string {
  return `4D54726B ${said.toString(16).padStart(8, '0')} ${body}`;
}

interface Sample {
  readonly code: SongFindingCode;
  readonly what: string;
  readonly file: string;
  /** Byte the finding points to. */
  readonly offset: number;
  readonly rows: readonly string[];
  /** Other findings that go with it. */
  readonly also?: readonly SongFindingCode[];
}

const SAMPLES: readonly Sample[] = [
  // ---- Around the chunks
  {
    code: 'bytes-before-header',
    what: 'a prefix before MThd',
    file: `00 01 4D 61 63 ${oneTrack(NOTE + END)}`,
    offset: 0,
    rows: MIDDLE_C,
  },
  {
    code: 'riff-wrapper',
    what: 'RIFF RMID with a chunk before the data and one after it',
    file: `52494646 3E000000 524D4944
      494E464F 01000000 41 00                      -- a chunk of odd length, padded
      64617461 22000000 ${oneTrack(NOTE + END)}    -- data, 34 bytes, little-endian
      4C495354 04000000 00000000`,
    offset: 0,
    rows: MIDDLE_C,
  },
  {
    code: 'alien-chunk',
    what: 'chunks of other kinds before and between the tracks',
    file: `4D546864 00000006 0001 0002 0060 58464948 00000003 010203 ${mtrk(NOTE + END)} 58585858 00000000 ${mtrk(END)}`,
    offset: 14,
    rows: [...MIDDLE_C, '2: 0 FF 2F 00 |'],
  },
  {
    code: 'chunk-name',
    what: 'a damaged byte in the name of a track',
    file: `${HEADER} 4D54722B 0000000C ${NOTE} ${END}`,
    offset: 14,
    rows: MIDDLE_C,
  },
  {
    code: 'bytes-between-chunks',
    what: 'bytes between header and track',
    file: `${HEADER} 00 00 00 ${mtrk(NOTE + END)}`,
    offset: 14,
    rows: MIDDLE_C,
  },
  {
    code: 'trailing-bytes',
    what: 'bytes after the last track',
    file: `${oneTrack(NOTE + END)} 1A 00 00`,
    offset: 34,
    rows: MIDDLE_C,
  },
  {
    code: 'second-song',
    what: 'two songs in one file',
    file: `${oneTrack(NOTE + END)} ${oneTrack(NOTE + END)}`,
    offset: 34,
    rows: MIDDLE_C,
  },

  // ---- Header
  {
    code: 'header-missing',
    what: 'a bare MTrk',
    file: mtrk(NOTE + END),
    offset: 0,
    rows: MIDDLE_C,
  },
  {
    code: 'header-missing',
    what: 'two bare tracks: no header has said another number',
    file: `${mtrk(NOTE + END)} ${mtrk(END)}`,
    offset: 0,
    rows: [...MIDDLE_C, '2: 0 FF 2F 00 |'],
  },
  {
    code: 'header-length',
    what: 'a header of 8 bytes, which the standard says to honour',
    file: `4D546864 00000008 0000 0001 0060 FFFF ${mtrk(NOTE + END)}`,
    offset: 4,
    rows: MIDDLE_C,
  },
  {
    code: 'header-length',
    what: 'a header whose length is nonsense',
    file: `4D546864 7F000006 0000 0001 0060 ${mtrk(NOTE + END)}`,
    offset: 4,
    rows: MIDDLE_C,
  },
  {
    code: 'header-cut-short',
    what: 'a header without its division',
    file: `4D546864 00000004 0000 0001 ${mtrk(NOTE + END)}`,
    offset: 8,
    rows: MIDDLE_C,
    also: ['header-length'],
  },
  {
    code: 'format-unknown',
    what: 'format 3',
    file: `4D546864 00000006 0003 0001 0060 ${mtrk(NOTE + END)}`,
    offset: 8,
    rows: MIDDLE_C,
  },
  {
    code: 'format-0-tracks',
    what: 'format 0 with two tracks',
    file: `4D546864 00000006 0000 0002 0060 ${mtrk(NOTE + END)} ${mtrk(END)}`,
    offset: 8,
    rows: [...MIDDLE_C, '2: 0 FF 2F 00 |'],
  },
  {
    code: 'track-count',
    what: 'one track said, two there',
    file: `4D546864 00000006 0001 0001 0060 ${mtrk(NOTE + END)} ${mtrk(END)}`,
    offset: 10,
    rows: [...MIDDLE_C, '2: 0 FF 2F 00 |'],
  },
  {
    code: 'track-count',
    what: 'no track said, one there',
    file: `4D546864 00000006 0001 0000 0060 ${mtrk(NOTE + END)}`,
    offset: 10,
    rows: MIDDLE_C,
  },
  {
    code: 'division-zero',
    what: 'division 0',
    file: `4D546864 00000006 0000 0001 0000 ${mtrk(NOTE + END)}`,
    offset: 12,
    rows: MIDDLE_C,
  },
  {
    code: 'division-rate',
    what: '−26 frames a second',
    file: `4D546864 00000006 0000 0001 E650 ${mtrk(NOTE + END)}`,
    offset: 12,
    rows: MIDDLE_C,
  },
  {
    code: 'division-ticks',
    what: '0 ticks a frame',
    file: `4D546864 00000006 0000 0001 E700 ${mtrk(NOTE + END)}`,
    offset: 12,
    rows: MIDDLE_C,
  },

  // ---- Tracks
  ...[0, 5, 11, 13, 200, 0x7fff_ffff, 0xffff_ffff].map(
    (said): Sample => ({
      code: 'track-length',
      what: `12 bytes of events, ${said} said`,
      file: `4D546864 00000006 0001 0002 0060 ${mtrk(NOTE + END, said)} ${mtrk(NOTE + END)}`,
      offset: 14,
      rows: [...MIDDLE_C, ...MIDDLE_C.map((row) => row.replace('1:', '2:'))],
    }),
  ),
  {
    code: 'track-length',
    what: 'a length that swallows the next track up to its very end',
    file: `4D546864 00000006 0001 0002 0060 ${mtrk(NOTE + END, 24)} ${mtrk(END)}`,
    offset: 14,
    rows: [...MIDDLE_C, '2: 0 FF 2F 00 |'],
  },
  {
    code: 'track-cut-short',
    what: 'a file cut in mid-event',
    file: `${HEADER} 4D54726B 0000000C ${NOTE} 00 90 3C`,
    offset: 14,
    rows: MIDDLE_C.slice(0, 2),
    also: ['event-cut-short'],
  },
  {
    code: 'end-of-track-missing',
    what: 'no end-of-track',
    file: oneTrack(NOTE),
    offset: 30,
    rows: MIDDLE_C.slice(0, 2),
  },
  {
    code: 'end-of-track-missing',
    what: 'no end-of-track, and rubbish behind the track that could be read as notes',
    file: `${oneTrack(NOTE)} 00 00 00 00 00 00 00 00 00`,
    offset: 30,
    rows: MIDDLE_C.slice(0, 2),
    also: ['trailing-bytes'],
  },
  {
    code: 'events-after-end-of-track',
    what: 'events after an end-of-track, and another one where the chunk ends',
    file: oneTrack(`00 FF 2F 00 ${NOTE} ${END}`),
    offset: 26,
    rows: MIDDLE_C,
  },
  {
    code: 'bytes-after-end-of-track',
    what: 'a chunk filled up with zeros',
    file: oneTrack(`${NOTE} ${END} 00 00 00 00`),
    offset: 34,
    rows: MIDDLE_C,
  },

  // ---- Events
  {
    code: 'event-cut-short',
    what: 'a chunk that ends in mid-event',
    file: `4D546864 00000006 0001 0002 0060 ${mtrk(`${NOTE} 00 90 3C`)} ${mtrk(END)}`,
    offset: 30,
    rows: [...MIDDLE_C.slice(0, 2), '2: 0 FF 2F 00 |'],
    also: ['end-of-track-missing'],
  },
  {
    code: 'event-cut-short',
    what: 'a chunk that ends in a delta time',
    file: oneTrack(`${NOTE} 81`),
    offset: 30,
    rows: MIDDLE_C.slice(0, 2),
    also: ['end-of-track-missing'],
  },
  {
    code: 'end-of-track-missing',
    what: 'a chunk that ends behind an FF: the chunk’s end is where it is missing',
    file: `4D546864 00000006 0001 0002 0060 ${mtrk(`${NOTE} 00 FF`)} ${mtrk(END)}`,
    offset: 32,
    rows: [...MIDDLE_C.slice(0, 2), '2: 0 FF 2F 00 |'],
    also: ['event-cut-short'],
  },
  {
    code: 'event-cut-short',
    what: 'a chunk that ends in the length of a text',
    file: oneTrack(`${NOTE} 00 FF 01 81`),
    offset: 31,
    rows: MIDDLE_C.slice(0, 2),
    also: ['end-of-track-missing'],
  },
  {
    code: 'length-over-long',
    what: 'a delta time of 8 bytes that says 96',
    file: oneTrack(`00 90 3C 40  80 80 80 80 80 80 80 60 80 3C 40 ${END}`),
    offset: 26,
    rows: MIDDLE_C,
  },
  {
    code: 'delta-absurd',
    what: 'a delta time of 5 bytes, 34,359,738,367',
    file: oneTrack(`00 90 3C 40  FF FF FF FF 7F 80 3C 40 ${END}`),
    offset: 26,
    rows: ['1: 0 90 3C 40', '1: 0 80 3C 40', '1: 0 FF 2F 00 |'],
    also: ['length-over-long'],
  },
  {
    code: 'tick-limit',
    what: 'seventeen of the longest delta times',
    file: oneTrack(`${'FF FF FF 7F C0 00 '.repeat(17)} ${END}`),
    offset: 22 + 16 * 6,
    rows: [
      ...Array.from({ length: 16 }, (_, i) => `1: ${(i + 1) * 0x0fff_ffff} C0 00 00`),
      '1: 4294967295 C0 00 00',
      '1: 4294967295 FF 2F 00 |',
    ],
  },
  {
    code: 'status-missing',
    what: 'running status with nothing before it',
    file: oneTrack(`00 3C 40  60 3C 00  ${NOTE} ${END}`),
    offset: 23,
    rows: MIDDLE_C,
  },
  {
    code: 'running-status-cancelled',
    what: 'running status after a meta event',
    file: oneTrack(`00 90 3C 40  00 FF 01 01 41  60 3C 00 ${END}`),
    offset: 32,
    rows: ['1: 0 90 3C 40', '1: 0 FF 01 00 | 41', '1: 96 90 3C 00', '1: 96 FF 2F 00 |'],
  },
  {
    code: 'data-byte-high',
    what: 'a key above 127',
    file: oneTrack(`00 90 8C 40  ${NOTE} ${END}`),
    offset: 23,
    rows: MIDDLE_C,
  },
  {
    code: 'value-high',
    what: 'a velocity above 127',
    file: oneTrack(`00 90 3C C0  60 80 3C 40 ${END}`),
    offset: 23,
    rows: ['1: 0 90 3C 7F', ...MIDDLE_C.slice(1)],
  },
  {
    code: 'value-high',
    what: 'a pitch bend that was not cut into sevens',
    file: oneTrack(`${NOTE} 00 E0 80 40 ${END}`),
    offset: 31,
    rows: [...MIDDLE_C.slice(0, 2), '1: 96 E0 7F 40', '1: 96 FF 2F 00 |'],
  },
  {
    code: 'value-high',
    what: 'a channel pressure above 127',
    file: oneTrack(`${NOTE} 00 D0 90 ${END}`),
    offset: 31,
    rows: [...MIDDLE_C.slice(0, 2), '1: 96 D0 7F 00', '1: 96 FF 2F 00 |'],
  },
  {
    code: 'data-byte-high',
    what: 'a program above 127',
    file: oneTrack(`${NOTE} 00 C0 90 ${END}`),
    offset: 31,
    rows: MIDDLE_C,
  },
  ...['F1 10', 'F2 10 20', 'F3 10', 'F4', 'F5', 'F6', 'F8', 'F9', 'FA', 'FB', 'FC', 'FD', 'FE'].map(
    (message): Sample => ({
      code: 'system-message',
      what: `${message} as an event of its own`,
      file: oneTrack(`00 90 3C 40  30 ${message}  30 80 3C 40 ${END}`),
      offset: 27,
      rows: MIDDLE_C,
    }),
  ),
  {
    code: 'real-time-inside',
    what: 'a timing clock between two data bytes',
    file: oneTrack(`00 90 3C F8 40  60 80 3C 40 ${END}`),
    offset: 25,
    rows: MIDDLE_C,
  },
  {
    code: 'meta-type-high',
    what: 'FF before a status byte',
    file: oneTrack(`00 FF 90 3C 40  ${NOTE} ${END}`),
    offset: 23,
    rows: MIDDLE_C,
  },

  // ---- Meta events of another length than the standard gives (SMF 3.1)
  ...(
    [
      ['tempo of 4', 'FF 51 04 07 A1 20 00', '51', '07 A1 20 00'],
      ['time signature of 3', 'FF 58 03 06 03 24', '58', '06 03 24'],
      ['key signature of 1', 'FF 59 01 02', '59', '02'],
      ['SMPTE offset of 4', 'FF 54 04 00 00 00 00', '54', '00 00 00 00'],
      ['sequence number of 1', 'FF 00 01 07', '00', '07'],
      ['channel prefix of 2', 'FF 20 02 00 00', '20', '00 00'],
    ] as const
  ).map(
    ([what, event, type, payload]): Sample => ({
      code: 'meta-length',
      what: `${what} bytes`,
      file: oneTrack(`00 ${event}  ${NOTE} ${END}`),
      offset: 23,
      rows: [`1: 0 FF ${type} 00 | ${payload}`, ...MIDDLE_C],
    }),
  ),
  {
    code: 'meta-length',
    what: 'end-of-track of 1 byte',
    file: oneTrack(`${NOTE} 00 FF 2F 01 00`),
    offset: 31,
    rows: [...MIDDLE_C.slice(0, 2), '1: 96 FF 2F 00 | 00'],
  },
  {
    code: 'meta-length',
    what: 'tempo that says 19 bytes, over the notes that follow it',
    file: oneTrack(`00 FF 51 13 07 A1 20 ${NOTE} ${NOTE} ${END}`),
    offset: 23,
    rows: [
      '1: 0 FF 51 00 | 07 A1 20',
      ...MIDDLE_C.slice(0, 2),
      '1: 96 90 3C 40',
      '1: 192 80 3C 40',
      '1: 192 FF 2F 00 |',
    ],
  },
  {
    code: 'meta-cut',
    what: 'a text longer than the track',
    file: oneTrack(`00 FF 01 7F 41 42  ${NOTE} ${END}`),
    offset: 23,
    rows: ['1: 0 FF 01 00 | 41 42', ...MIDDLE_C],
  },

  // ---- SysEx
  {
    code: 'sysex-length',
    what: 'GM System On stored as on the wire, without a length (7E is taken for one)',
    file: oneTrack(`00 F0 7E 7F 09 01 F7  ${NOTE} ${END}`),
    offset: 23,
    rows: ['1: 0 F0 00 00 | 7E 7F 09 01 F7', ...MIDDLE_C],
  },
  {
    code: 'sysex-length',
    what: 'the same with a maker whose id begins with 00',
    file: oneTrack(`00 F0 00 20 33 01 02 F7  ${NOTE} ${END}`),
    offset: 23,
    rows: ['1: 0 F0 00 00 | 00 20 33 01 02 F7', ...MIDDLE_C],
  },
  {
    code: 'sysex-length',
    what: 'a length that leaves the F7 out',
    file: oneTrack(`00 F0 04 43 12 00 07 F7  ${NOTE} ${END}`),
    offset: 23,
    rows: ['1: 0 F0 00 00 | 43 12 00 07 F7', ...MIDDLE_C],
  },
  {
    code: 'sysex-length',
    what: 'a length two too large',
    file: oneTrack(`00 F0 07 43 12 00 07 F7  ${NOTE} ${END}`),
    offset: 23,
    rows: ['1: 0 F0 00 00 | 43 12 00 07 F7', ...MIDDLE_C],
  },
  {
    code: 'sysex-length',
    what: 'a length that swallows the track, and no F7',
    file: oneTrack(`00 F0 83 00 43 12 00 07  ${NOTE} ${END}`),
    offset: 23,
    rows: ['1: 0 F0 00 00 | 43 12 00 07', ...MIDDLE_C],
  },
  {
    code: 'sysex-status-bytes',
    what: 'eight-bit data',
    file: oneTrack(`00 F0 05 43 92 00 07 F7  ${NOTE} ${END}`),
    offset: 23,
    rows: ['1: 0 F0 00 00 | 43 92 00 07 F7', ...MIDDLE_C],
  },
  {
    code: 'continuation-alone',
    what: 'an F7 with no length',
    file: oneTrack(`00 F7 7F 00  ${NOTE} ${END}`),
    offset: 23,
    rows: MIDDLE_C,
  },
];

/** Reached by files too large to write down here. */
const SHOWN_IN_HOSTILE_TESTS: readonly SongFindingCode[] = ['tracks-too-many', 'events-too-many'];

function codesOf(song: Song): string[] {
  return [...new Set(song.findings.map((finding) => finding.code))].sort();
}

describe('what the reader tolerates, and says', () => {
  it.each(SAMPLES)('$code: $what', ({ code, file, offset, rows, also = [] }) => {
    const song = readSong(hex(file));
    expect(songRows(song)).toEqual(rows);
    expect(codesOf(song)).toEqual([code, ...also].sort());
    const found = song.findings.find((finding) => finding.code === code)!;
    expect(found.offset).toBe(offset);
    expect(found.severity).toBe(SONG_FINDINGS[code].severity);
    expect(brokenLaw(song)).toBeUndefined();
  });

  it('has a sample for each finding of the table', () => {
    const shown = new Set([...SAMPLES.map((sample) => sample.code), ...SHOWN_IN_HOSTILE_TESTS]);
    expect(Object.keys(SONG_FINDINGS).filter((code) => !shown.has(code as SongFindingCode))).toEqual([]);
  });

  it('has no tracks of a beginning with nothing behind it', () => {
    const song = readSong(hex(`${HEADER} ${mtrk('')} ${HEADER} ${mtrk(NOTE + END)}`));
    expect([...song.trackStart]).toEqual([0, 3]);
  });

  it('says it in sentences', () => {
    const textsOf = (file: string) => readSong(hex(file)).findings.map((finding) => finding.text);
    const texts = textsOf(`${HEADER} 00 ${mtrk(NOTE)} 41`);
    expect(texts).toEqual([
      'Passed over 1 byte outside any chunk.',
      'Track 1 has no end-of-track event.',
      'Passed over 1 byte after the last track.',
    ]);
    expect(textsOf(`${oneTrack(NOTE + END)} 00 00`)).toEqual(['Passed over 2 bytes after the last track.']);
  });

  it('finds nothing in what is legal though rare', () => {
    const legal = oneTrack(`
      00 FF 00 00        -- sequence number without one (SMF 3.1)
      00 FF 60 02 01 02  -- a meta type nobody has defined
      00 FF 7F 00        -- sequencer-specific, empty
      00 F7 01 F8        -- an escape with a timing clock
      00 F7 00           -- an empty escape
      80 00 B0 07 64     -- a delta time padded to two bytes
      ${END}`);
    expect(readSong(hex(legal)).findings).toEqual([]);
  });
});

describe('a list of findings', () => {
  const table = { odd: { severity: 'note', sentence: 'Number {n} is odd.' } } as const;

  it('names so many of a kind and counts the rest', () => {
    const list = new FindingList<'odd'>(table);
    for (let n = 0; n < 100_000; n++) list.add('odd', n, { n });
    const found = list.toArray();
    expect(found).toHaveLength(LISTED_PER_CODE + 1);
    expect(found[0]).toEqual({ code: 'odd', severity: 'note', offset: 0, text: 'Number 0 is odd.' });
    expect(found.at(-1)!.offset).toBe(-1);
    expect(found.at(-1)!.text).toBe('And 99980 more of this kind (odd).');
  });

  it('goes back to where it was', () => {
    const list = new FindingList<'odd'>(table);
    list.add('odd', 1, { n: 1 });
    const mark = list.mark();
    for (let n = 0; n < 50; n++) list.add('odd', n, { n });
    list.backTo(mark);
    expect(list.toArray()).toHaveLength(1);
  });
});
