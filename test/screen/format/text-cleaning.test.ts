import fc from 'fast-check';
import stringWidth from 'string-width';
import { describe, expect, it } from 'vitest';
import { textWidth } from '../../../src/screen/cells/draw-text.ts';
import { CLEAN_TEXT_LIMIT, cleanText } from '../../../src/screen/format/text-cleaning.ts';

describe('cleaned text', () => {
  it.each([
    // ECMA-48 control sequences and strings, with seven- and eight-bit introducers.
    ['clears the screen', 'a\u001b[2Jb', 'ab'],
    ['writes the clipboard (OSC 52)', 'a\u001b]52;c;aGk=\u0007b', 'ab'],
    ['sets the title (OSC 0, ST)', 'a\u001b]0;title\u001b\\b', 'ab'],
    ['is a link (OSC 8)', '\u001b]8;;http://x\u0007click\u001b]8;;\u0007', 'click'],
    ['is a device control string', 'a\u001bP$q"p\u001b\\b', 'ab'],
    ['resets the terminal', 'a\u001bcb', 'ab'],
    ['selects a character set', 'a\u001b(0b', 'ab'],
    ['uses eight-bit introducers', 'a\u009b31mb\u009d0;t\u009cc', 'abc'],
    ['opens a string and never ends it', 'a\u001b]52;c;rest of the line', 'a52;c;rest of the line'],
    ['ends in an escape', 'abc\u001b', 'abc'],
    ['rings, shifts, goes back', 'a\u0007\u000e\u000f\bb', 'ab'],
    ['has line ends and tabs', 'one\r\ntwo\tthree', 'one two three'],
    // Unicode Standard Annex 9, bidirectional controls.
    ['turns the direction', 'a\u202ecod.exe\u202c\u2066b\u2069', 'acod.exeb'],
    ['hides characters', 'a\u200bb\u2060c\ufeffd\u00ade', 'abcde'],
    ['joins', '\u{1f468}\u200d\u{1f469}', '\u{1f468}\u{1f469}'],
    ['piles up marks', `e\u0301${'\u0300'.repeat(50)}x`, 'éx'],
    ['has variation selectors and tags', '♫\ufe0f\u{e0041}', '♫'],
    ['has half a surrogate pair', 'a\ud800b\udc00', 'a\ufffdb\ufffd'],
    ['is plain', 'Prélude №1 „日本語“ – ♯♭', 'Prélude №1 „日本語“ – ♯♭'],
  ])('that %s', (_, text, clean) => {
    expect(cleanText(text)).toBe(clean);
  });

  it('is bounded, however long the text', () => {
    expect(cleanText('x'.repeat(5_000_000))).toHaveLength(CLEAN_TEXT_LIMIT);
    expect(cleanText('日'.repeat(100), 10)).toBe('日'.repeat(10));
  });

  const nasty = fc
    .array(
      fc.oneof(
        fc.string({ unit: 'binary', maxLength: 12 }),
        fc.string({ unit: 'grapheme', maxLength: 12 }),
        fc.constantFrom(
          '\u001b[',
          '\u001b]',
          '\u0007',
          '\u009b',
          '\u001b\\',
          '\u202e',
          'e\u0301',
          '\u200d',
          '한',
          '\u1100\u1161',
        ),
        fc.integer({ min: 0, max: 0x10ffff }).map((codePoint) => String.fromCodePoint(codePoint)),
      ),
      { maxLength: 30 },
    )
    .map((parts) => parts.join(''));

  it('holds nothing that acts or hides, stays as it is when cleaned again, and is as wide as it is counted', () => {
    fc.assert(
      fc.property(nasty, (text) => {
        const clean = cleanText(text);
        expect(clean).not.toMatch(
          /[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}\p{Mn}\p{Me}\p{Default_Ignorable_Code_Point}\p{Bidi_Control}]/u,
        );
        expect(cleanText(clean)).toBe(clean);
        expect([...clean].length).toBeLessThanOrEqual(CLEAN_TEXT_LIMIT);
        // Ink lays text out by string-width; cells are filled by our count.
        expect(textWidth(clean)).toBe(stringWidth(clean));
      }),
      { numRuns: 2000 },
    );
  });
});
