import { describe, expect, test } from 'vitest';
import { momentOrder, reordered } from '../../../../src/core/wire/packing/moment-order.ts';
import { toHex } from '../../../support/hex.ts';
import { columnsOf, type Moment } from '../columns-of.ts';

const SYSEX = 'F0 7E 7F 09 01 F7';

/** The last moment's messages in the order that packing starts from; what stands before is told with ` | `. */
function orderOf(moments: readonly Moment[], setupFirst = true): string[] {
  const columns = columnsOf(...moments);
  const sorted = reordered(columns, momentOrder(columns, setupFirst));
  expect([...sorted.micros]).toEqual([...columns.micros]);
  const last = sorted.micros[sorted.count - 1];
  return Array.from({ length: sorted.count }, (_, row) => row)
    .filter((row) => sorted.micros[row] === last)
    .map((row) => {
      const [status, data1, data2] = [sorted.status[row]!, sorted.data1[row]!, sorted.data2[row]!];
      if (status < 0xf0) return toHex((status & 0xe0) === 0xc0 ? [status, data1] : [status, data1, data2]);
      const start = sorted.payloadStart[sorted.payload[row]!]!;
      return toHex([
        0xf0,
        ...sorted.payloadBytes.subarray(start, start + sorted.payloadLength[sorted.payload[row]!]!),
      ]);
    });
}
/** Channels 1 and 2 sound already: a key is held on each. */
const BEFORE: Moment = [0, '90 3C 40', '91 3C 40'];
const later = (...messages: string[]) => orderOf([BEFORE, [10_000, ...messages]]);
const first = (...messages: string[]) => orderOf([[0, ...messages]]);

describe('note-offs of notes struck earlier stand first', () => {
  test.each<[string, string[], string[]]>([
    [
      'before what is set, and before notes',
      ['C0 05', 'B0 07 10', '90 40 40', '80 3C 00'],
      ['80 3C 00', 'C0 05', 'B0 07 10', '90 40 40'],
    ],
    [
      'each in their order, on any channel',
      ['90 40 40', '91 3C 00', '92 10 01', '80 3C 00'],
      ['91 3C 00', '80 3C 00', '90 40 40', '92 10 01'],
    ],
    [
      'behind a pedal of its channel',
      ['B0 40 00', '80 3C 00', '81 3C 00'],
      ['81 3C 00', 'B0 40 00', '80 3C 00'],
    ],
    ['behind Sostenuto', ['B0 42 00', '80 3C 00'], ['B0 42 00', '80 3C 00']],
    ['behind a mode message, All Sound Off among them', ['B0 78 00', '80 3C 00'], ['B0 78 00', '80 3C 00']],
    ['but not behind what is none', ['B0 77 00', '80 3C 00'], ['80 3C 00', 'B0 77 00']],
    ['nor a key that is struck in the same moment', ['90 3C 40', '80 3C 00'], ['90 3C 40', '80 3C 00']],
    ['whatever its channel', ['91 3C 40', '81 3C 00'], ['91 3C 40', '81 3C 00']],
    [
      'while that of another key is',
      ['90 3D 40', '80 3C 00', '81 3C 00'],
      ['80 3C 00', '81 3C 00', '90 3D 40'],
    ],
    [
      'a key of the same number on another channel is another',
      ['92 3C 40', '80 3C 00'],
      ['80 3C 00', '92 3C 40'],
    ],
  ])('%s', (_, written, sorted) => {
    expect(later(...written)).toEqual(sorted);
    // Whether setups go first is another matter.
    expect(orderOf([BEFORE, [10_000, ...written]], false)).toEqual(sorted);
  });

  test('a strike of the moment before is no strike of this', () => {
    expect(
      orderOf([
        [0, '90 3C 40'],
        [1, 'B0 07 10', '80 3C 00'],
      ]),
    ).toEqual(['80 3C 00', 'B0 07 10']);
    expect(
      orderOf([
        [0, '90 3C 40', 'B0 40 00'],
        [1, 'B0 07 10', '80 3C 00'],
      ]),
    ).toEqual(['80 3C 00', 'B0 07 10']);
  });
});

describe('setup first: what a channel is told between two of its notes', () => {
  test.each<[string, string[], string[]]>([
    ['volume', ['90 40 40', 'B0 07 10', '90 43 40'], ['B0 07 10', '90 40 40', '90 43 40']],
    [
      'bend and pressure',
      ['90 40 40', 'E0 00 50', 'D0 05', '90 43 40'],
      ['E0 00 50', 'D0 05', '90 40 40', '90 43 40'],
    ],
    [
      'behind note-offs',
      ['90 40 40', 'B0 07 10', '80 3C 00', '90 43 40'],
      ['80 3C 00', 'B0 07 10', '90 40 40', '90 43 40'],
    ],
    [
      'what stands behind the last note stays',
      ['90 40 40', '90 43 40', 'B0 07 10'],
      ['90 40 40', '90 43 40', 'B0 07 10'],
    ],
    [
      'behind the last of its own channel',
      ['90 40 40', 'B0 07 10', '91 43 40'],
      ['90 40 40', 'B0 07 10', '91 43 40'],
    ],
    [
      'what the next note reads as it begins stays',
      ['90 40 40', 'B0 05 10', '90 43 40'],
      ['90 40 40', 'B0 05 10', '90 43 40'],
    ],
    ['a program stays', ['90 40 40', 'C0 05', '90 43 40'], ['90 40 40', 'C0 05', '90 43 40']],
    [
      'and what is behind what stays',
      ['90 40 40', 'C0 05', 'B0 07 10', '90 43 40'],
      ['90 40 40', 'C0 05', 'B0 07 10', '90 43 40'],
    ],
    [
      'on its channel',
      ['90 40 40', 'C0 05', '91 40 40', 'B1 07 10', '91 43 40', '90 43 40'],
      ['B1 07 10', '90 40 40', 'C0 05', '91 40 40', '91 43 40', '90 43 40'],
    ],
    [
      'nothing passes a note-off of a note of the moment',
      ['90 40 40', '80 40 00', 'B0 07 10', '90 43 40'],
      ['90 40 40', '80 40 00', 'B0 07 10', '90 43 40'],
    ],
    [
      'before the first note of the channel anything is set up',
      ['91 40 40', 'C0 05', 'B0 05 10', '90 43 40'],
      ['C0 05', 'B0 05 10', '91 40 40', '90 43 40'],
    ],
    [
      'a SysEx stays, and nothing passes it',
      ['90 40 40', SYSEX, '80 3C 00', 'B0 07 10', '90 43 40'],
      ['90 40 40', SYSEX, '80 3C 00', 'B0 07 10', '90 43 40'],
    ],
    [
      'behind a SysEx a moment begins anew',
      ['90 40 40', 'C0 05', SYSEX, '90 43 40', 'B0 07 10', '90 47 40'],
      ['90 40 40', 'C0 05', SYSEX, 'B0 07 10', '90 43 40', '90 47 40'],
    ],
  ])('%s', (_, written, sorted) => {
    expect(later(...written)).toEqual(sorted);
  });

  test('not where it is not wanted', () => {
    const written = ['90 40 40', 'B0 07 10', '91 40 40', '90 43 40'];
    expect(orderOf([BEFORE, [10_000, ...written]], false)).toEqual(written);
    expect(orderOf([[0, ...written]], false)).toEqual(written);
  });
});

describe('the moment in which a channel sounds first', () => {
  test.each<[string, string[], string[]]>([
    [
      'banks, attack, its first program, mode messages',
      ['90 40 40', 'B0 00 01', 'C0 05', 'B0 49 10', 'B0 79 00', '90 43 40'],
      ['B0 00 01', 'C0 05', 'B0 49 10', 'B0 79 00', '90 40 40', '90 43 40'],
    ],
    [
      'a second program stays, and what is behind it',
      ['90 40 40', 'C0 05', 'C0 06', 'B0 07 10', '90 43 40'],
      ['C0 05', '90 40 40', 'C0 06', 'B0 07 10', '90 43 40'],
    ],
    [
      'a second one wherever the first was',
      ['C0 05', '90 40 40', 'C0 06', '90 43 40'],
      ['C0 05', '90 40 40', 'C0 06', '90 43 40'],
    ],
    ['pressure of one key stays', ['90 40 40', 'A0 40 10', '90 43 40'], ['90 40 40', 'A0 40 10', '90 43 40']],
    [
      'each channel has its own',
      ['90 40 40', 'C1 06', '91 40 40', 'C0 05', '90 43 40'],
      ['C1 06', 'C0 05', '90 40 40', '91 40 40', '90 43 40'],
    ],
  ])('%s', (_, written, sorted) => {
    expect(first(...written)).toEqual(sorted);
  });

  test('a program of an earlier moment is a first one too, and a channel may sound first later than others', () => {
    const written = ['92 40 40', 'C2 05', '92 43 40'];
    expect(later(...written)).toEqual(['C2 05', '92 40 40', '92 43 40']);
    expect(
      orderOf([
        [0, '90 3C 40', 'C2 01'],
        [10, ...written],
      ]),
    ).toEqual(written);
    expect(
      orderOf([
        [0, '92 3C 40'],
        [10, ...written],
      ]),
    ).toEqual(written);
  });
});

describe('SysEx in the song’s first moment with notes', () => {
  test.each<[string, string[], string[]]>([
    ['stands before them', ['90 40 40', SYSEX, '91 40 40'], [SYSEX, '90 40 40', '91 40 40']],
    [
      'with what is set up, in its order',
      ['90 40 40', 'B0 07 10', SYSEX, 'C0 05', '90 43 40'],
      ['B0 07 10', SYSEX, 'C0 05', '90 40 40', '90 43 40'],
    ],
    ['but behind the last note stays', ['90 40 40', '91 40 40', SYSEX], ['90 40 40', '91 40 40', SYSEX]],
    ['nor before what is no note', ['90 40 40', SYSEX, 'B0 07 10'], ['90 40 40', SYSEX, 'B0 07 10']],
    [
      'and where anything before it stays',
      ['90 40 40', 'A0 40 10', SYSEX, '91 40 40'],
      ['90 40 40', 'A0 40 10', SYSEX, '91 40 40'],
    ],
    [
      'note-offs behind it stay on all channels',
      ['90 40 40', SYSEX, '8F 50 00', '91 40 40'],
      [SYSEX, '90 40 40', '8F 50 00', '91 40 40'],
    ],
    [
      'before the first note it is where it is, and what follows begins anew',
      [SYSEX, '90 40 40', 'B0 07 10', '90 43 40'],
      [SYSEX, 'B0 07 10', '90 40 40', '90 43 40'],
    ],
  ])('%s', (_, written, sorted) => {
    expect(first(...written)).toEqual(sorted);
    expect(
      orderOf([
        [0, 'C5 01'],
        [10, ...written],
      ]),
    ).toEqual(sorted);
  });

  test('two of them, each with its own bytes', () => {
    const other = 'F0 7F 7F 04 01 00 40 F7';
    expect(first('90 40 40', other, SYSEX, '91 40 40')).toEqual([other, SYSEX, '90 40 40', '91 40 40']);
    expect(first('90 40 40', SYSEX, other, '91 40 40')).toEqual([SYSEX, other, '90 40 40', '91 40 40']);
  });

  test('in no later moment, and not where setups stay', () => {
    const written = ['92 40 40', SYSEX, '93 40 40'];
    expect(later(...written)).toEqual(written);
    expect(orderOf([[0, ...written]], false)).toEqual(written);
  });
});

describe('a channel on which the order of notes is part of the sound', () => {
  const glides = [['B0 41 7F'], ['B0 44 7F'], ['B0 7E 01'], ['B0 54 3C']] as const;
  test.each(glides)('keeps all its messages in their order: %s', (glide) => {
    const written = ['90 40 40', 'B0 07 10', '80 3C 00', '90 43 40'];
    expect(orderOf([BEFORE, [10, glide], [10_000, ...written]])).toEqual(written);
    expect(orderOf([BEFORE, [10, glide.replace('B0', 'B1')], [10_000, ...written]])).toEqual([
      ...['80 3C 00', 'B0 07 10'],
      ...['90 40 40', '90 43 40'],
    ]);
  });

  test('a program or bend with the number of such a controller is none', () => {
    expect(orderOf([BEFORE, [10, 'C0 7E'], [10_000, '90 40 40', '80 3C 00']])).toEqual([
      '80 3C 00',
      '90 40 40',
    ]);
    expect(later('E0 78 40', '80 3C 00')).toEqual(['80 3C 00', 'E0 78 40']);
  });

  test('from that message on: its own moment’s note-offs stay behind it', () => {
    expect(later('B0 41 7F', '80 3C 00', '90 40 40', 'B0 07 10', '90 43 40')).toEqual([
      ...['B0 41 7F', '80 3C 00', '90 40 40', 'B0 07 10', '90 43 40'],
    ]);
    expect(later('80 3C 00', 'B0 41 00', '90 40 40', 'B0 07 10', '90 43 40')).toEqual([
      ...['80 3C 00', 'B0 41 00', 'B0 07 10', '90 40 40', '90 43 40'],
    ]);
  });

  test('a SysEx does not pass its notes', () => {
    expect(
      orderOf([
        [0, 'B0 41 7F'],
        [10, '90 40 40', SYSEX, '91 40 40'],
      ]),
    ).toEqual(['90 40 40', SYSEX, '91 40 40']);
  });
});
