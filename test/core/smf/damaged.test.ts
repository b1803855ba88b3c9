import { describe, expect, it } from 'vitest';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { hex } from '../../support/hex.ts';
import { brokenLaw } from '../../support/song-laws.ts';
import { songRows } from '../../support/song-rows.ts';

/** Where one byte more or less decides how damaged bytes are read; findings as `offset code`. */
interface Read {
  readonly rows: string[];
  readonly findings: string[];
}

const HEADER = '4D546864 00000006 0000 0001 0060'; // 14 bytes
const END = '00 FF 2F 00';
const NOTE = '00 90 3C 40';
const NOTE_ROW = '1: 0 90 3C 40';
const END_ROW = '1: 0 FF 2F 00 |';

function read(file: string): Read {
  const song = readSong(hex(file));
  expect(brokenLaw(song)).toBeUndefined();
  return { rows: songRows(song), findings: song.findings.map(({ offset, code }) => `${offset} ${code}`) };
}

/** A song of one track; its events begin at offset 22. */
const track = (body: string, said = hex(body).length) =>
  `4D54726B ${said.toString(16).padStart(8, '0')} ${body}`;
const oneTrack = (body: string) => read(`${HEADER} ${track(body)}`);

describe('a SysEx and its length', () => {
  it('may hold real-time bytes, which no file should: nothing is said where the F7 is in its place', () => {
    expect(oneTrack(`00 F0 04 7D F8 01 F7 ${END}`)).toEqual({
      rows: ['1: 0 F0 00 00 | 7D F8 01 F7', END_ROW],
      findings: [],
    });
  });

  it('of F7 alone, at the very end of the track', () => {
    expect(oneTrack('00 F0 01 F7')).toEqual({
      rows: ['1: 0 F0 00 00 | F7'],
      findings: ['26 end-of-track-missing'],
    });
  });

  it('a status byte among the data is told, the F7 that ends it is none', () => {
    for (const status of ['80', 'F1', 'F7', 'FF'])
      expect(oneTrack(`00 F0 03 7D ${status} F7 ${END}`)).toEqual({
        rows: [`1: 0 F0 00 00 | 7D ${status} F7`, END_ROW],
        findings: ['23 sysex-status-bytes'],
      });
  });

  it('said up to 8 bytes too large it is a length, beyond that it was never one', () => {
    // 02 and the F7 stand before the length’s end by so many bytes.
    const said = (length: string) => oneTrack(`00 F0 ${length} 01 02 F7 ${NOTE} 00 C0 05 ${END}`);
    expect(said('0A').rows[0]).toBe('1: 0 F0 00 00 | 01 02 F7'); // 8 behind the F7
    expect(said('0A').findings).toEqual(['23 sysex-length']);
    expect(said('0B').rows[0]).toBe('1: 0 F0 00 00 | 0B 01 02 F7');
    expect(said('0B').rows.slice(1)).toEqual([NOTE_ROW, '1: 0 C0 05 00', END_ROW]);
  });

  it('that ends outside the track was never one', () => {
    expect(oneTrack(`00 F0 06 01 F7 ${END}`).rows[0]).toBe('1: 0 F0 00 00 | 01 F7');
    expect(oneTrack(`00 F0 07 01 F7 ${END}`).rows[0]).toBe('1: 0 F0 00 00 | 07 01 F7');
  });

  it('may leave the F7 to a later packet', () => {
    const packets = `00 F0 02 7D 01  05 F7 02 02 F7  ${END}`;
    expect(oneTrack(packets)).toEqual({
      rows: ['1: 0 F0 00 00 | 7D 01', '1: 5 F7 00 00 | 02 F7', '1: 5 FF 2F 00 |'],
      findings: [],
    });
    // The next delta time begins with F7, and so it is no end of the SysEx: 77 ‖ 00 ticks.
    expect(oneTrack(`00 F0 01 7D  F7 00 F7 01 F7  ${END}`).rows).toEqual([
      '1: 0 F0 00 00 | 7D',
      '1: 15232 F7 00 00 | F7',
      '1: 15232 FF 2F 00 |',
    ]);
    // A delta time of four bytes.
    expect(oneTrack(`00 F0 01 7D  F7 80 80 00 F7 01 F7  ${END}`).findings).toEqual([]);
    // One of five bytes is none: there the F7 belonged to the SysEx, and one of four begins behind it.
    expect(oneTrack(`00 F0 01 7D  F7 80 80 80 05 F7 01 F7  ${END}`)).toEqual({
      rows: ['1: 0 F0 00 00 | 7D F7', '1: 5 F7 00 00 | F7', '1: 5 FF 2F 00 |'],
      findings: ['23 sysex-length'],
    });
    // Nor does an F7 follow here.
    expect(oneTrack(`00 F0 01 7D  F7 ${NOTE} ${END}`)).toEqual({
      rows: ['1: 0 F0 00 00 | 7D F7', NOTE_ROW, END_ROW],
      findings: ['23 sysex-length'],
    });
  });

  it('of data alone where nothing follows stays as it is', () => {
    expect(oneTrack('00 F0 02 7D 01')).toEqual({
      rows: ['1: 0 F0 00 00 | 7D 01'],
      findings: ['27 end-of-track-missing'],
    });
    expect(oneTrack('00 F0 02 7D 01 F7')).toEqual({
      rows: ['1: 0 F0 00 00 | 7D 01 F7'],
      findings: ['23 sysex-length', '28 end-of-track-missing'],
    });
  });

  it('of 0 may be the first byte of a maker’s id, if two data bytes and an F7 follow', () => {
    expect(oneTrack(`00 F0 00 20 33 F7 ${END}`)).toEqual({
      rows: ['1: 0 F0 00 00 | 00 20 33 F7', END_ROW],
      findings: ['23 sysex-length'],
    });
    // One data byte is a delta time, behind which a continuation stands.
    expect(oneTrack(`00 F0 00 20 F7 01 F7 ${END}`).rows).toEqual([
      '1: 0 F0 00 00 |',
      '1: 32 F7 00 00 | F7',
      '1: 32 FF 2F 00 |',
    ]);
    // Nothing is followed by a note.
    expect(oneTrack(`00 F0 00 ${NOTE} ${END}`).rows).toEqual(['1: 0 F0 00 00 |', NOTE_ROW, END_ROW]);
    expect(oneTrack(`00 F0 00 20 33`).findings[0]).not.toBe('23 sysex-length');
  });

  it('is cut with the file, or else the events behind it are found again', () => {
    // The track says 20 bytes, the file ends after 7.
    expect(read(`${HEADER} ${track('00 F0 06 7D 01 02 03', 20)}`).rows).toEqual([
      '1: 0 F0 00 00 | 7D 01 02 03',
    ]);
    // Up to the very end that the track gives, 22 + 20: not a byte further.
    const cut = (length: string) => read(`${HEADER} ${track(`00 F0 ${length} 7D 00 90 3C 40`, 20)}`).rows;
    expect(cut('11')).toEqual(['1: 0 F0 00 00 | 7D 00 90 3C 40']);
    expect(cut('12')).toEqual(['1: 0 F0 00 00 | 7D', NOTE_ROW]);
    // The chunk’s length is right: the SysEx’s is not.
    expect(oneTrack(`00 F0 20 7D 01 02 ${NOTE} ${END}`)).toEqual({
      rows: ['1: 0 F0 00 00 | 7D 01 02', NOTE_ROW, END_ROW],
      findings: ['23 sysex-length'],
    });
  });

  it('cut short in its length', () => {
    expect(oneTrack(`${NOTE} 00 F0 81`)).toEqual({
      rows: [NOTE_ROW],
      findings: ['27 event-cut-short', '29 end-of-track-missing'],
    });
    expect(oneTrack(`${NOTE} 00 F7 81`)).toEqual({
      rows: [NOTE_ROW],
      findings: ['27 event-cut-short', '29 end-of-track-missing'],
    });
  });
});

describe('an escape', () => {
  it('up to the end of the track', () => {
    expect(oneTrack('00 F7 02 FA FB')).toEqual({
      rows: ['1: 0 F7 00 00 | FA FB'],
      findings: ['27 end-of-track-missing'],
    });
  });

  it('longer than the file is lost with its end', () => {
    expect(read(`${HEADER} ${track(`${NOTE} 00 F7 06 7D 01`, 20)}`)).toEqual({
      rows: [NOTE_ROW],
      findings: ['27 continuation-alone', '14 track-cut-short'],
    });
  });
});

describe('running status', () => {
  it('is cancelled by metas, SysEx and escapes alike, and by nothing else', () => {
    for (const event of ['FF 01 00', 'F0 01 F7', 'F7 00'])
      expect(oneTrack(`${NOTE} 00 ${event} 00 3D 40 00 3E 40 ${END}`).findings).toEqual([
        `${26 + 1 + hex(event).length + 1} running-status-cancelled`,
      ]);
    expect(oneTrack(`${NOTE} 00 FE 00 3D 40 ${END}`).findings).toEqual(['27 system-message']);
  });

  it('goes on with the latest status, also of a message that was left out', () => {
    expect(oneTrack(`00 91 8C 40 00 3D 40 ${END}`).rows).toEqual(['1: 0 91 3D 40', END_ROW]);
  });

  it('without any, what cannot be read is passed over', () => {
    expect(oneTrack(`00 3C 40 ${NOTE} ${END}`)).toEqual({
      rows: [NOTE_ROW, END_ROW],
      findings: ['23 status-missing'],
    });
  });
});

describe('data bytes', () => {
  it('above 127 that say which are refused, those that say how much are taken for 127', () => {
    const one = (message: string) => {
      const { rows, findings } = oneTrack(`00 ${message} ${END}`);
      return [...rows.slice(0, -1), ...findings];
    };
    for (const which of ['80 80 40', '9F 80 40', 'AF 80 40', 'BF 80 40', 'CF 80'])
      expect(one(which)).toEqual(['23 data-byte-high']);
    expect(one('D0 80')).toEqual(['1: 0 D0 7F 00', '23 value-high']);
    expect(one('E0 80 80')).toEqual(['1: 0 E0 7F 7F', '23 value-high', '23 value-high']);
    expect(one('90 7F 7F')).toEqual(['1: 0 90 7F 7F']);
    expect(one('90 3C 80')).toEqual(['1: 0 90 3C 7F', '23 value-high']);
    expect(one('B0 07 F7')).toEqual(['1: 0 B0 07 7F', '23 value-high']);
  });

  it('may have real-time bytes between them, but FF is none in a file', () => {
    expect(oneTrack(`00 90 F8 3C FE FE 40 ${END}`)).toEqual({
      rows: [NOTE_ROW, END_ROW],
      findings: ['24 real-time-inside', '26 real-time-inside', '27 real-time-inside'],
    });
    expect(oneTrack(`00 90 3C FF ${END}`).rows).toEqual(['1: 0 90 3C 7F', END_ROW]);
  });

  it('that are not there make an event cut short, where its delta time begins', () => {
    for (const cut of ['90', '90 3C', 'C0', '90 3C F8'])
      expect(oneTrack(`${NOTE} 05 ${cut}`).findings).toContain('26 event-cut-short');
    expect(oneTrack(`${NOTE} 05`).findings).toContain('26 event-cut-short');
  });
});

describe('a system message', () => {
  it('is left out with the data bytes it has, and no others', () => {
    // F2 has two data bytes; the second is missing, and a delta time of 128 follows.
    expect(oneTrack(`00 F2 01 81 00 90 3C 40 ${END}`).rows[0]).toBe('1: 128 90 3C 40');
    expect(oneTrack(`00 F2 01 02 ${NOTE} ${END}`)).toEqual({
      rows: [NOTE_ROW, END_ROW],
      findings: ['23 system-message'],
    });
    expect(oneTrack(`00 F2 01 80 80 80 80 05 90 3C 40 ${END}`).findings).toEqual([
      '23 system-message',
      '25 length-over-long',
    ]);
    expect(oneTrack(`00 F6 ${NOTE} ${END}`).rows).toEqual([NOTE_ROW, END_ROW]);
    expect(oneTrack(`${NOTE} 00 F2 01`).findings).toEqual(['27 system-message', '29 end-of-track-missing']);
  });
});

describe('meta events', () => {
  it('longer than the track: as long as the standard says, if that is there', () => {
    expect(oneTrack(`00 FF 51 7F 07 A1 20 ${NOTE} ${END}`)).toEqual({
      rows: ['1: 0 FF 51 00 | 07 A1 20', NOTE_ROW, END_ROW],
      findings: ['23 meta-cut'],
    });
    expect(oneTrack('00 FF 51 7F 07 A1 20')).toEqual({
      rows: ['1: 0 FF 51 00 | 07 A1 20'],
      findings: ['23 meta-cut', '29 end-of-track-missing'],
    });
    expect(oneTrack('00 FF 51 7F 07 A1').rows).toEqual(['1: 0 FF 51 00 | 07 A1']);
  });

  it('cut with the file keep what is there', () => {
    expect(read(`${HEADER} ${track('00 FF 01 05 41 42 43', 30)}`)).toEqual({
      rows: ['1: 0 FF 01 00 | 41 42 43'],
      findings: ['23 meta-cut', '14 track-cut-short'],
    });
    // Also where the standard gives a shorter length; the track says that there was more.
    expect(read(`${HEADER} ${track('00 FF 51 05 07 A1 20 41', 30)}`).rows).toEqual([
      '1: 0 FF 51 00 | 07 A1 20 41',
    ]);
  });

  it('just as long as the track is right', () => {
    expect(oneTrack('00 FF 01 02 41 42')).toEqual({
      rows: ['1: 0 FF 01 00 | 41 42'],
      findings: ['28 end-of-track-missing'],
    });
  });

  it('of another length than the standard’s: the one behind which the track goes on, of both the shorter', () => {
    // 4 said: behind 4 bytes a note stands; behind 3 as well: 00 00 90 … would be a delta time and a data byte.
    expect(oneTrack(`00 FF 51 04 07 A1 20 00 ${NOTE} ${END}`).rows[0]).toBe('1: 0 FF 51 00 | 07 A1 20 00');
    // 4 said, 3 there.
    expect(oneTrack(`00 FF 51 04 07 A1 20 ${NOTE} ${END}`).rows).toEqual([
      '1: 0 FF 51 00 | 07 A1 20',
      NOTE_ROW,
      END_ROW,
    ]);
    // 2 said, 3 there.
    expect(oneTrack(`00 FF 51 02 07 A1 20 ${NOTE} ${END}`).rows[0]).toBe('1: 0 FF 51 00 | 07 A1 20');
    // Neither: what is said.
    expect(oneTrack('00 FF 51 02 07 A1 20 F7 F7 F7').rows[0]).toBe('1: 0 FF 51 00 | 07 A1');
  });

  it('an FF before a byte above 127 is passed over with it', () => {
    expect(oneTrack(`00 FF 80 01 ${NOTE} ${END}`)).toEqual({
      rows: [NOTE_ROW, END_ROW],
      findings: ['23 meta-type-high'],
    });
    expect(oneTrack(`00 FF 7F 00 ${NOTE} ${END}`).findings).toEqual([]);
  });
});

describe('a delta time', () => {
  it('of more than four bytes is told, if it can be read; beyond 2²⁸ − 1 it is none', () => {
    expect(oneTrack(`80 80 80 05 90 3C 40 ${END}`).findings).toEqual([]);
    expect(oneTrack(`80 80 80 80 05 90 3C 40 ${END}`)).toEqual({
      rows: ['1: 5 90 3C 40', '1: 5 FF 2F 00 |'],
      findings: ['22 length-over-long'],
    });
    expect(oneTrack(`81 80 80 80 00 90 3C 40 ${END}`)).toEqual({
      rows: [NOTE_ROW, END_ROW],
      findings: ['22 length-over-long', '22 delta-absurd'],
    });
  });

  it('that reaches the last tick there is: not told, beyond it told', () => {
    const most = 'FF FF FF 7F C0 00 '.repeat(16); // 16 × (2²⁸ − 1) = 2³² − 16
    expect(oneTrack(`${most} 0F C0 00 00 FF 2F 00`).findings).toEqual([]);
    expect(oneTrack(`${most} 0F C0 00 00 FF 2F 00`).rows.at(-1)).toBe('1: 4294967295 FF 2F 00 |');
    expect(oneTrack(`${most} 10 C0 00 00 FF 2F 00`).findings).toEqual([`${22 + 96} tick-limit`]);
  });
});

describe('a track and its length', () => {
  const LONG_REST = 'FF FF FF 7F 80 3C 40'; // seven bytes, the longest a channel message takes
  const RELEASE_ROW = '1: 268435455 80 3C 40';

  it('right, without end-of-track, and rubbish behind it: the length is believed', () => {
    // Whatever stands before the end: the fast lane may stop just there.
    expect(read(`${HEADER} ${track(`${NOTE} ${LONG_REST}`)} 00 00 00 00 00 00 00 00 00`)).toEqual({
      rows: [NOTE_ROW, RELEASE_ROW],
      findings: ['33 end-of-track-missing', '33 trailing-bytes'],
    });
    expect(read(`${HEADER} ${track(`${NOTE} 00 C0 05`)} 06 07 08 09 0A 0B`)).toEqual({
      rows: [NOTE_ROW, '1: 0 C0 05 00'],
      findings: ['29 end-of-track-missing', '29 trailing-bytes'],
    });
  });

  it('too small: an end-of-track behind it decides that the events there belong to it', () => {
    expect(read(`${HEADER} ${track(`${NOTE} 00 C0 05 ${END}`, 4)}`)).toEqual({
      rows: [NOTE_ROW, '1: 0 C0 05 00', END_ROW],
      findings: ['14 track-length'],
    });
    // In mid-event too.
    expect(read(`${HEADER} ${track(`${NOTE} 00 C0 05 ${END}`, 6)}`)).toEqual({
      rows: [NOTE_ROW, '1: 0 C0 05 00', END_ROW],
      findings: ['14 track-length'],
    });
  });

  it('what is found in rubbish that is taken back is not told', () => {
    const { findings } = read(`${HEADER} ${track(NOTE)} 00 F1 00 F2 00 F4`);
    expect(findings).toEqual(['26 end-of-track-missing', '26 trailing-bytes']);
  });

  it('too large: the next chunk ends it', () => {
    const next = track(END);
    const { rows, findings } = read(
      `4D546864 00000006 0001 0002 0060 ${track(`${NOTE} ${END}`, 100)} ${next}`,
    );
    expect(rows).toEqual([NOTE_ROW, END_ROW, '2: 0 FF 2F 00 |']);
    expect(findings).toEqual(['14 track-length']);
    // Without its end-of-track as well.
    expect(read(`4D546864 00000006 0001 0002 0060 ${track(NOTE, 100)} ${next}`)).toEqual({
      rows: [NOTE_ROW, '2: 0 FF 2F 00 |'],
      findings: ['14 track-length', '26 end-of-track-missing'],
    });
  });

  it('larger than the file, in which the last event is whole: the file was cut', () => {
    expect(read(`${HEADER} ${track(NOTE, 100)}`)).toEqual({
      rows: [NOTE_ROW],
      findings: ['14 track-cut-short'],
    });
    // With an end-of-track nothing was cut.
    expect(read(`${HEADER} ${track(`${NOTE} ${END}`, 100)}`).findings).toEqual(['14 track-length']);
  });
});

describe('behind an end-of-track', () => {
  it('there is music if the chunk ends with another one, however often', () => {
    expect(oneTrack(`${END} ${NOTE} ${END} 00 C0 05 ${END}`)).toEqual({
      rows: [NOTE_ROW, '1: 0 C0 05 00', END_ROW],
      findings: ['26 events-after-end-of-track'],
    });
  });

  it('the latter may end the track later', () => {
    expect(oneTrack(`${NOTE} ${END} 81 00 FF 2F 00`)).toEqual({
      rows: [NOTE_ROW, '1: 128 FF 2F 00 |'],
      findings: ['30 events-after-end-of-track'],
    });
  });

  it('there is none where the chunk ends otherwise, or is nothing but another end-of-track', () => {
    for (const rest of [NOTE, '00 FF 2F 01', '00 FF 2E 00', '00 FE 2F 00 00', END, `00 ${END}`])
      expect(oneTrack(`${NOTE} ${END} ${rest}`)).toEqual({
        rows: [NOTE_ROW, END_ROW],
        findings: ['30 bytes-after-end-of-track'],
      });
  });

  it('the letters of a chunk end the track there', () => {
    const file = `4D546864 00000006 0001 0002 0060 ${track(`${NOTE} ${END} ${track(END)}`)}`;
    expect(read(file)).toEqual({
      rows: [NOTE_ROW, END_ROW, '2: 0 FF 2F 00 |'],
      findings: ['14 track-length'],
    });
  });
});

describe('a header', () => {
  const song = (header: string) => read(`${header} ${track(`${NOTE} ${END}`)}`);

  it('of less than six bytes says what is there', () => {
    const codes = (header: string) => song(header).findings;
    expect(codes('4D546864 00000002 0001')).toEqual(['4 header-length', '8 header-cut-short']);
    expect(codes('4D546864 00000001 00')).toEqual(['4 header-length', '8 header-cut-short']);
    expect(codes('4D546864 00000000')).toEqual(['4 header-length', '8 header-cut-short']);
    expect(codes('4D546864 00000005 0000 0002 00')).toEqual([
      '4 header-length',
      '8 header-cut-short',
      '10 track-count',
    ]);
  });

  it('that says less than six has six where no chunk begins before', () => {
    expect(song('4D546864 00000004 0000 0001 0060').findings).toEqual(['4 header-length']);
    expect(song('4D546864 00000000 0000 0001 0060').findings).toEqual(['4 header-length']);
  });

  it('that says more has more where a chunk follows there, else the nearest chunk ends it', () => {
    expect(song('4D546864 00000007 0000 0001 0060 00')).toEqual({
      rows: [NOTE_ROW, END_ROW],
      findings: ['4 header-length'],
    });
    expect(song('4D546864 00000009 0000 0001 0060 00').findings).toEqual(['4 header-length']);
    // Up to the very end there is nothing to play.
    expect(() => read('4D546864 00000008 0000 0001 0060 0000')).toThrow();
  });

  it('its division: 15 bits of ticks, or frames and ticks', () => {
    const divisionOf = (word: string) =>
      readSong(hex(`4D546864 00000006 0000 0001 ${word} ${track(END)}`)).division;
    expect(divisionOf('7FFF')).toEqual({ kind: 'quarter', ticksPerQuarter: 0x7fff });
    expect(divisionOf('E801')).toEqual({ kind: 'smpte', framesPerSecond: 24, ticksPerFrame: 1 });
    expect(divisionOf('E2FF')).toEqual({ kind: 'smpte', framesPerSecond: 30, ticksPerFrame: 255 });
    expect(divisionOf('8001')).toEqual({ kind: 'smpte', framesPerSecond: 30, ticksPerFrame: 1 });
    expect(divisionOf('E700')).toEqual({ kind: 'smpte', framesPerSecond: 25, ticksPerFrame: 80 });
    expect(divisionOf('0000')).toEqual({ kind: 'quarter', ticksPerQuarter: 480 });
  });
});

describe('what stands between chunks', () => {
  it('other chunks are stepped over by their length, other bytes up to the next header or track', () => {
    const two = '4D546864 00000006 0001 0001 0060';
    expect(read(`${two} 58585858 00000003 010203 ${track(END)}`).findings).toEqual(['14 alien-chunk']);
    expect(read(`${two} 00 01 ${track(END)} 02`).findings).toEqual([
      '14 bytes-between-chunks',
      '28 trailing-bytes',
    ]);
    // A second song ends the first; behind it nothing is read.
    expect(read(`${two} ${track(END)} ${two} 00`).findings).toEqual(['26 second-song']);
  });

  it('a damaged name of a track is one, a damaged name of a header is another chunk', () => {
    const two = '4D546864 00000006 0001 0001 0060';
    expect(read(`${two} 4D54725B 00000004 ${END}`).findings).toEqual(['14 chunk-name']);
    expect(read(`${two} 4D54685B 00000000 ${track(END)}`).findings).toEqual(['14 alien-chunk']);
  });
});

it('more than 256 texts and SysEx are all kept', () => {
  const events = Array.from(
    { length: 700 },
    (_, i) => `00 FF 01 02 ${(i % 80) + 10} ${Math.floor(i / 80) + 10}`,
  );
  const { rows } = oneTrack(`${events.join(' ')} ${END}`);
  expect(rows.slice(0, -1)).toEqual(
    Array.from({ length: 700 }, (_, i) => `1: 0 FF 01 00 | ${(i % 80) + 10} ${Math.floor(i / 80) + 10}`),
  );
});
