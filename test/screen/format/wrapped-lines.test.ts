import fc from 'fast-check';
import { expect, test } from 'vitest';
import { textWidth } from '../../../src/screen/cells/draw-text.ts';
import { headText } from '../../../src/screen/format/head-text.ts';
import { wrappedLines } from '../../../src/screen/format/wrapped-lines.ts';

test('words go on where there is room, and to the next line where there is none', () => {
  expect(wrappedLines('there is no such device', 11)).toEqual(['there is no', 'such device']);
  expect(wrappedLines('there is no such device', 10)).toEqual(['there is', 'no such', 'device']);
});

test('a word that is longer than a line is cut, wide characters whole', () => {
  expect(wrappedLines('at /dev/snd/midiC1D0 now', 9)).toEqual(['at', '/dev/snd/', 'midiC1D0', 'now']);
  expect(wrappedLines('長い長い', 5)).toEqual(['長い', '長い']);
});

test('no line is too wide and no letter is lost', () => {
  fc.assert(
    fc.property(fc.string({ unit: 'grapheme-ascii' }), fc.integer({ min: 1, max: 40 }), (text, width) => {
      const lines = wrappedLines(text, width);
      for (const line of lines) expect(textWidth(line)).toBeLessThanOrEqual(width);
      expect(lines.join('').replaceAll(' ', '')).toBe(text.replaceAll(' ', ''));
    }),
  );
});

test('a text that is too wide says that something is left out', () => {
  expect(headText('Lamplight', 9, '…')).toBe('Lamplight');
  expect(headText('Lamplight', 8, '…')).toBe('Lampligh'.slice(0, 7).concat('…'));
  expect(headText('長い長い', 6, '…')).toBe('長い…');
});
