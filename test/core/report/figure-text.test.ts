import { describe, expect, test } from 'vitest';
import { columnsText } from '../../../src/core/report/columns-text.ts';
import {
  clock,
  counted,
  cut,
  keyRange,
  millis,
  percent,
  programWords,
} from '../../../src/core/report/figure-text.ts';
import type { ChannelCheck } from '../../../src/core/report/song-check.ts';

test('figures as people read them', () => {
  expect([millis(27_840), millis(0)]).toEqual(['27.8 ms', '0.0 ms']);
  expect([percent(0.483), percent(1), percent(0.005)]).toEqual(['48 %', '100 %', '1 %']);
  expect([counted(0, 'note'), counted(1, 'note'), counted(2, 'note')]).toEqual([
    '0 notes',
    '1 note',
    '2 notes',
  ]);
  expect([counted(1, 'key', 'keys in all'), counted(3, 'key', 'keys in all')]).toEqual([
    '1 key',
    '3 keys in all',
  ]);
});

test.each([
  [0, '0:00'],
  [59.99, '0:59'],
  [60, '1:00'],
  [133.4, '2:13'],
  [3599, '59:59'],
  [3600, '1:00:00'],
  [3700, '1:01:40'],
  [36_061, '10:01:01'],
])('%d seconds are %s', (seconds, text) => {
  expect(clock(seconds)).toBe(text);
});

test('the keys a channel uses: from and to, one alone, none', () => {
  const range = (lowestKey: number | null, highestKey: number | null) =>
    keyRange({ lowestKey, highestKey } as ChannelCheck);
  expect([range(0, 127), range(60, 60), range(null, null)]).toEqual(['C-1-G9', 'C4', '']);
});

test('programs with the bank where one was chosen', () => {
  const program = (name: string, bankMsb: number, bankLsb: number) => ({
    program: 1,
    name,
    bankMsb,
    bankLsb,
  });
  expect(programWords([])).toBe("module's own");
  expect(programWords([program('A', 0, 0), program('B', 8, 0), program('C', 0, 1)])).toBe(
    'A, B (bank 8.0), C (bank 0.1)',
  );
});

describe('a width', () => {
  test.each([
    ['abcdef', 6, 'abcdef', 'abcdef'],
    ['abcdef', 5, 'abcd…', 'abc..'],
    ['abcdef', 1, '…', '..'],
    ['', 0, '', ''],
  ])('%s within %i', (text, width, full, ascii) => {
    expect([cut(text, width, false), cut(text, width, true)]).toEqual([full, ascii]);
  });

  test('columns are as wide as their widest, two spaces apart, without blanks at the end', () => {
    const rows = [
      ['a', '1'],
      ['wide', '1000'],
    ];
    expect(columnsText(['x', 'no'], ['left', 'right'], rows)).toEqual([
      'x       no',
      'a        1',
      'wide  1000',
    ]);
    expect(columnsText(['x', 'no'], ['right', 'left'], rows)).toEqual(['   x  no', '   a  1', 'wide  1000']);
  });
});
