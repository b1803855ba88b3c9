import { expect, test } from 'vitest';
import { columnsText } from '../../../src/core/report/columns-text.ts';

test('rows under their headings, two spaces apart, each column as wide as its widest; no blanks at the end', () => {
  expect(
    columnsText(
      ['name', 'n', 'last'],
      ['left', 'right', 'left'],
      [
        ['a', '1', 'x'],
        ['longer', '1000', ''],
      ],
    ),
  ).toEqual(['name       n  last', 'a          1  x', 'longer  1000']);
  expect(columnsText(['a', 'b'], ['right', 'left'], [])).toEqual(['a  b']);
});
