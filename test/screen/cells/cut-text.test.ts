import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cutText } from '../../../src/screen/cells/cut-text.ts';
import { textWidth } from '../../../src/screen/cells/draw-text.ts';

const NUMBER = /\d+(?:[.,:/]\d+)*%?/g;

describe('text that is too wide', () => {
  it.each([
    ['velocity 110', 11, 'velocity…'],
    ['velocity 110', 12, 'velocity 110'],
    ['at 513:1, late', 5, 'at…'],
    ['12.5 ms', 4, '…'],
    ['226 bytes (46% of all)', 12, '226 bytes (…'],
    ['1w Pad 1 (Fantasia)', 12, '1w Pad 1 (F…'],
    ['日本語', 5, '日本…'],
    ['abc', 1, '…'],
    ['abc', 0, ''],
  ])('%s in %i columns', (text, width, shown) => {
    expect(cutText(text, width)).toBe(shown);
  });

  it('fits, says that it was cut, and never shows the head of a number', () => {
    const words = fc.array(
      fc.oneof(
        fc.nat(99_999).map(String),
        fc.constantFrom('a', ' ', ', ', 'bar', '日', ':', '.', '(', '%', '/'),
      ),
      { maxLength: 12 },
    );
    fc.assert(
      fc.property(words, fc.integer({ min: 0, max: 40 }), (parts, width) => {
        const text = parts.join('');
        const shown = cutText(text, width);
        expect(textWidth(shown)).toBeLessThanOrEqual(Math.max(0, width));
        if (textWidth(text) <= width) expect(shown).toBe(text);
        else if (width > 0) expect(shown.endsWith('…')).toBe(true);
        const numbers = new Set(text.match(NUMBER));
        for (const number of shown.match(NUMBER) ?? []) expect(numbers).toContain(number);
      }),
      { numRuns: 500 },
    );
  });
});
