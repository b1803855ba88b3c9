import { expect, test } from 'vitest';
import { fitDrumKeys } from '../../../../src/core/arrange/fit/fit-drum-keys.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import { edited } from './rows-as-text.ts';

const BOX = { channels: [9], keys: new Map([36, 38].map((key) => [key, `drum ${key}`])), kits: new Map() };

const fitted = (lines: readonly string[], drums: typeof BOX = BOX, drumChannels = [9]) =>
  edited(lines, (columns, edits) => fitDrumKeys(columns, edits, { ...GENERAL_MIDI, drums }, drumChannels));

test('a sound that is not there becomes the nearest, its ends and its pressure with it; each channel counts its own', () => {
  const { rows, fit } = fitted(
    [
      ...['0 99 28 40', '1 99 28 00', '2 89 28 40', '3 A9 28 10', '4 99 24 40', '5 9A 28 40', '6 9A 23 40'],
      ...['7 B9 28 40', '8 C9 28', '9 90 28 40', '10 99 28 40'],
    ],
    BOX,
    [9, 10],
  );
  expect(rows).toEqual([
    ...['0 99 26 40', '1 99 26 00', '2 89 26 40', '3 A9 26 10', '4 99 24 40', '5 9A 26 40', '6 9A 24 40'],
    ...['7 B9 28 40', '8 C9 28', '9 90 28 40', '10 99 26 40'],
  ]);
  // A stroke counts whether anything ends it or not.
  expect(fit.moves).toEqual([
    { channel: 9, what: 'drum', from: 40, to: 38, notes: 2 },
    { channel: 10, what: 'drum', from: 40, to: 38, notes: 1 },
    { channel: 10, what: 'drum', from: 35, to: 36, notes: 1 },
  ]);
});

test('one that nothing stands in for is left out, with what belongs to it', () => {
  const { rows, fit } = fitted(['0 99 3A 40', '1 A9 3A 10', '2 99 3A 00', '3 89 3A 40', '4 99 24 40']);
  expect(rows).toEqual(['4 99 24 40']);
  expect(fit).toEqual({ moves: [], withoutSound: [0], withoutDrums: [] });
});

test('where there are no drums all of their channels goes, and no system message', () => {
  const none = { channels: [], keys: new Map(), kits: new Map() };
  const lines = [
    '0 F0 7D 01 F7',
    '0 F7 01',
    '0 C0 05',
    '1 90 24 40',
    '2 90 24 00',
    '3 B0 07 64',
    '4 91 3C 40',
  ];
  const { rows, fit } = fitted(lines, none, [0]);
  expect(rows).toEqual(['0 F0 7D 01 F7', '0 F7 01', '4 91 3C 40']);
  expect(fit).toEqual({ moves: [], withoutSound: [], withoutDrums: [3] });
});

test('an instrument that has them all changes nothing', () => {
  const { isEmpty } = fitted(['0 99 24 40', '1 99 26 40', '2 89 24 40'], BOX);
  expect(isEmpty).toBe(true);
});
