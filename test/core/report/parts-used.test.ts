import { expect, test } from 'vitest';
import { GENERAL_MIDI } from '../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../src/core/instrument/instrument.ts';
import { ChannelPrograms } from '../../../src/core/report/channel-programs.ts';
import { PartsUsed } from '../../../src/core/report/parts-used.ts';
import { columnsOfText } from '../arrange/fit/rows-as-text.ts';

function used(parts: number, lines: readonly string[], traits: Partial<Instrument> = {}) {
  const columns = columnsOfText(...lines);
  const instrument = { ...GENERAL_MIDI, parts, ...traits };
  const programs = new ChannelPrograms(columns, instrument);
  const of = new PartsUsed(columns, instrument, programs);
  for (let row = 0; row < columns.count; row += 1) {
    programs.take(row);
    of.take(row);
  }
  return { most: of.most, seconds: of.overSeconds, crowded: of.crowded() };
}

/** Three channels from 0, 1 and 2 s on, to 5, 4 and 3 s; each with a sound of its own. */
const PROGRAMS = ['0 C0 01', '0 C1 02', '0 C2 03'];
const NOTES = [
  ...['0 90 3C 40', '1000 91 3C 40', '2000 92 3C 40', '2500 92 40 40', '2500 90 40 40'],
  ...['3000 82 3C 40', '3000 82 40 40', '4000 81 3C 40', '5000 80 3C 40', '5000 80 40 40'],
];

test('how many sounds at once, from when on too many, for how long and over how many notes', () => {
  expect(used(2, [...PROGRAMS, ...NOTES])).toEqual({ most: 3, seconds: 1, crowded: [{ row: 5, notes: 3 }] });
  expect(used(3, [...PROGRAMS, ...NOTES])).toEqual({ most: 3, seconds: 0, crowded: [] });
  expect(used(1, [...PROGRAMS, ...NOTES])).toEqual({ most: 3, seconds: 3, crowded: [{ row: 4, notes: 4 }] });
});

test('channels of one sound are one, where it matters; of another bank they are two', () => {
  const alike = ['0 C0 01', '0 C1 01', '0 C2 01'];
  expect(used(1, [...alike, ...NOTES])).toEqual({ most: 1, seconds: 0, crowded: [] });
  expect(used(1, ['0 B1 00 05', ...alike, ...NOTES]).most).toBe(2);
  expect(used(1, ['0 B1 20 05', ...alike, ...NOTES]).most).toBe(2);
  expect(used(3, [...alike, ...NOTES]).most).toBe(3);
});

test('drums and channels that are not heard are none', () => {
  expect(used(1, ['0 99 24 40', '0 90 3C 40', '1000 89 24 40']).crowded).toEqual([]);
  expect(used(1, [...PROGRAMS, ...NOTES], { channels: [0, 2] }).most).toBe(2);
});

test('only what sounds when all of a moment has come counts', () => {
  const moment = ['0 C1 05', '0 90 3C 40', '1000 91 3C 40', '1000 80 3C 40', '2000 81 3C 40'];
  expect(used(1, moment)).toEqual({ most: 1, seconds: 0, crowded: [] });
});
