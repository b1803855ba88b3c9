import { expect, test } from 'vitest';
import { heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { noteSounds } from '../../../../src/core/arrange/fit/note-sounds.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Bank } from '../../../../src/core/instrument/instrument.ts';
import { columnsOfText } from './rows-as-text.ts';

/** Number, what it is like, voices each. */
const bank = (
  msb: number | undefined,
  lsb: number | undefined,
  ...sounds: [number, number, number][]
): Bank => ({
  ...{ name: 'bank', msb, lsb },
  programs: sounds.map(([number, like, voicesEach]) => ({
    ...{ number, name: `sound ${number}`, like, keys: undefined, voicesEach },
  })),
});

function sounds(banks: Bank[], voices: number, ...lines: string[]) {
  const { like, voicesEach } = noteSounds(heardNotes(columnsOfText(...lines), [9]), {
    ...GENERAL_MIDI,
    banks,
    voices,
  });
  return [Array.from(like), voicesEach && Array.from(voicesEach)];
}

const NOTE = (channel: number) => `9 9${channel} 3C 40`;

test('each note is like the sound its bank has at its number, and takes as many voices as there are at most', () => {
  const banks = [bank(3, 4, [5, 40, 3]), bank(3, 2, [5, 41, 2]), bank(2, 4, [5, 42, 1])];
  const chosen = (channel: number, msb: string, lsb: string) => [
    `0 B${channel} 00 ${msb}`,
    `0 B${channel} 20 ${lsb}`,
    `1 C${channel} 05`,
  ];
  const song = [...chosen(0, '03', '04'), ...chosen(1, '03', '02'), ...chosen(2, '02', '04')];
  expect(sounds(banks, 8, ...song, NOTE(0), NOTE(1), NOTE(2), NOTE(0))).toEqual([
    [40, 41, 42, 40],
    [3, 2, 1, 3],
  ]);
  expect(sounds(banks, 2, ...song, NOTE(0))[1]).toEqual([2]);
});

test('drums are no programs; where every note takes one voice nothing is told', () => {
  const banks = [bank(undefined, undefined, [5, 40, 1], [6, 50, 2])];
  expect(sounds(banks, 8, '0 C0 05', '0 C9 06', NOTE(0), NOTE(9))).toEqual([[40, 6], undefined]);
  expect(sounds(banks, 8, '0 C0 06', '0 C9 06', NOTE(9), NOTE(0))).toEqual([
    [6, 50],
    [1, 2],
  ]);
});

test('an instrument that lists nothing plays what is asked for', () => {
  expect(sounds([], 8, '0 C0 05', NOTE(0))).toEqual([[5], undefined]);
});
