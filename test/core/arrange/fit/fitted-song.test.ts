import { describe, expect, test } from 'vitest';
import { GENERAL_MARKS } from '../../../../src/core/arrange/fit/fit-marks.ts';
import { fittedSong } from '../../../../src/core/arrange/fit/fitted-song.ts';
import { RowEdits } from '../../../../src/core/arrange/fit/row-edits.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, meta, songBytes, sysEx, tempo } from '../../../support/song-bytes.ts';
import { songRows } from '../../../support/song-rows.ts';

type Edit = (edits: RowEdits) => void;
const text = (words: string) =>
  meta(
    1,
    Uint8Array.from(words, (letter) => letter.charCodeAt(0)),
  );
const bytesOf = (words: string) =>
  Array.from(words, (letter) => letter.charCodeAt(0).toString(16).toUpperCase().padStart(2, '0')).join(' ');

function written(tracks: DeltaEvent[][], edit: Edit = () => {}, marks = GENERAL_MARKS, format = 1) {
  const song = readSong(songBytes(tracks, { format }));
  const timeline = buildTimeline(song);
  const edits = new RowEdits(timeline.columns);
  edit(edits);
  const end = {
    tick: timeline.endTick,
    micros: timeline.durationMicros,
    microsAt: timeline.tempoMap.microsAt,
  };
  const made = fittedSong(song, timeline, edits.made(end).columns, marks);
  return { rows: songRows(made), format: made.format, division: made.division, events: made.events.count };
}

const OWN = 'wirepit fit: drums on channel 4; bends of 2 semitones';
const MARKED = { ...GENERAL_MARKS, drumChannels: [3] };

describe('columns as a song again', () => {
  // Two tracks: one with a tempo, a meter and a SysEx, one with notes and a text between them.
  const first: DeltaEvent[] = [
    [0, tempo(500_000)],
    [0, sysEx([0xf0, 0x7d, 1, 2, 0xf7])],
    [10, meta(0x58, [3, 2, 24, 8])],
    [5, [0xb0, 7, 100]],
  ];
  const second: DeltaEvent[] = [
    [0, [0x90, 60, 64]],
    [10, text('word')],
    [0, [0x80, 60, 64]],
    [20, text('end')],
  ];

  test('each message and each text in the track it came from; what describes comes before what is sent', () => {
    expect(written([first, second])).toEqual({
      rows: [
        '1: 0 FF 51 00 | 07 A1 20',
        '1: 0 F0 00 00 | 7D 01 02 F7',
        '1: 10 FF 58 00 | 03 02 18 08',
        '1: 15 B0 07 64',
        '1: 30 FF 2F 00 |',
        '2: 0 90 3C 40',
        '2: 10 FF 01 00 | 77 6F 72 64',
        '2: 10 80 3C 40',
        '2: 30 FF 01 00 | 65 6E 64',
        '2: 30 FF 2F 00 |',
      ],
      ...{ format: 1, division: readSong(songBytes([first])).division, events: 10 },
    });
  });

  test('a track ends with the last that stands in it, the first with the song', () => {
    const late: Edit = (edits) => edits.addAt(40, 3, 0x80, 61, 64, 1);
    const rows = written([first, second], late).rows;
    expect(rows.filter((row) => row.includes('FF 2F'))).toEqual(['1: 30 FF 2F 00 |', '2: 40 FF 2F 00 |']);
    // An end of its own that stands behind all its messages stays where it is.
    const ends = written([first, [...second, [70, text('z')]]]).rows.filter((row) => row.includes('FF 2F'));
    expect(ends).toEqual(['1: 100 FF 2F 00 |', '2: 100 FF 2F 00 |']);
  });

  test('texts of one tick keep their order; those behind the last message come before the end', () => {
    const rows = written([
      [
        [0, text('b')],
        [0, text('a')],
        [0, [0x90, 1, 1]],
        [9, text('d')],
        [0, text('c')],
      ],
    ]).rows;
    expect(rows.map((row) => row.slice(3))).toEqual([
      `0 FF 01 00 | ${bytesOf('b')}`,
      `0 FF 01 00 | ${bytesOf('a')}`,
      '0 90 01 01',
      `9 FF 01 00 | ${bytesOf('d')}`,
      `9 FF 01 00 | ${bytesOf('c')}`,
      '9 FF 2F 00 |',
    ]);
  });

  test('a song without anything has a track and its end', () => {
    expect(written([[]], () => {}, GENERAL_MARKS, 0)).toMatchObject({ rows: ['1: 0 FF 2F 00 |'], format: 0 });
  });

  test('a track that sends nothing ends with its last text', () => {
    expect(written([[[5, text('a')]]]).rows).toEqual([`1: 5 FF 01 00 | ${bytesOf('a')}`, '1: 5 FF 2F 00 |']);
  });

  test('what a format 2 song plays one after another becomes a format 1 song', () => {
    const one: DeltaEvent[] = [
      [0, [0x90, 60, 64]],
      [10, [0x80, 60, 64]],
    ];
    const { rows, format } = written([one, one], () => {}, GENERAL_MARKS, 2);
    expect(format).toBe(1);
    expect(rows).toEqual([
      '1: 0 90 3C 40',
      '1: 10 80 3C 40',
      '1: 20 FF 2F 00 |',
      '2: 10 90 3C 40',
      '2: 20 80 3C 40',
      '2: 20 FF 2F 00 |',
    ]);
  });
});

describe('marks', () => {
  const marksIn = (...texts: string[]) =>
    written([texts.map((words): DeltaEvent => [5, text(words)])], () => {}, MARKED).rows.filter((row) =>
      row.includes('FF 01'),
    );

  test('stand at the very beginning, once: those of an earlier fit go', () => {
    expect(marksIn()).toEqual([`1: 0 FF 01 00 | ${bytesOf(OWN)}`]);
    expect(marksIn(OWN.replace('4', '7'), 'other', OWN)).toEqual([
      `1: 0 FF 01 00 | ${bytesOf(OWN)}`,
      `1: 10 FF 01 00 | ${bytesOf('other')}`,
    ]);
  });

  test('are none where General MIDI says it all; an old one goes all the same', () => {
    expect(written([[[0, text(OWN)]]]).rows).toEqual(['1: 0 FF 2F 00 |']);
    // A lyric that reads like one is none, nor is a text that is longer than any mark.
    const lyric = meta(
      5,
      Uint8Array.from(OWN, (letter) => letter.charCodeAt(0)),
    );
    expect(written([[[0, lyric]]]).rows).toHaveLength(2);
    const long = `wirepit fit: drums on channel ${'1,'.repeat(200)}1; bends of 2 semitones`;
    expect(written([[[0, text(long)]]]).rows).toHaveLength(2);
    const longest = `wirepit fit: drums on channel ${'1,'.repeat(173)}10; bends of 2 semitones`;
    expect(longest.length).toBe(400);
    expect(written([[[0, text(longest)]]]).rows).toHaveLength(1);
  });
});
