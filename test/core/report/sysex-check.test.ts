import { expect, test } from 'vitest';
import { sysExCheckOf } from '../../../src/core/report/sysex-check.ts';
import { columnsOfText } from '../arrange/fit/rows-as-text.ts';

const check = (...lines: string[]) => sysExCheckOf(columnsOfText(...lines));

test('how many, how long the longest is on the wire, what is held back, and the first reset there is', () => {
  expect(check('0 C0 05', '1 90 3C 40')).toEqual({ messages: 0, heldBack: 0, longestBytes: 0, reset: null });
  expect(
    check(
      '0 F0 7E 7F 06 01 F7', // an inquiry: momentary
      '1 F0 7D 01 02 03 04 05 F7', // a maker's own: held back
      '2 F0 7E 7F 09 03 F7',
      '3 F0 7E 7F 09 01 F7',
      '4 F7 01', // an escape: held back
      '5 EF 00 40',
    ),
  ).toEqual({ messages: 5, heldBack: 2, longestBytes: 8, reset: 'gm2-on' });
});
