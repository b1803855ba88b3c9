import { expect, test } from 'vitest';
import { tailText } from '../../../src/screen/format/tail-text.ts';

test('a text that fits stays; one that does not keeps its end', () => {
  expect(tailText('ferry.mid', 9, '…')).toBe('ferry.mid');
  expect(tailText('harbour/night/ferry.mid', 10, '…')).toBe('…ferry.mid');
  expect(tailText('海の歌.mid', 7, '…')).toBe('…歌.mid'); // wide characters take two cells
  expect(tailText('abc', 0, '')).toBe('');
});
