import { eastAsianWidth } from 'get-east-asian-width';

/**
 * Columns a code point takes on a terminal: 0 (draws nothing of its own), 1 or 2. Wide and full-width per
 * Unicode Standard Annex 11, ambiguous taken as narrow as the annex advises. Lone Hangul vowels and finals
 * count 0, as terminals join them to the cell before.
 */
export function cellWidth(codePoint: number): 0 | 1 | 2 {
  if (codePoint < 0x300) return isPrintableLatin(codePoint) ? 1 : 0;
  // Box drawing, blocks, shapes up to U+25FC, and braille: what the lanes draw with, all narrow.
  if ((codePoint >= 0x2500 && codePoint < 0x25fd) || (codePoint >= 0x2800 && codePoint < 0x2900)) return 1;
  // From the arrows to the last symbol before the next marks, and the ideographs: each draws something. The
  // expression below costs milliseconds when it is first used, so what the screen draws does not use it.
  if (codePoint >= 0x2190 && codePoint < 0x2cef) return eastAsianWidth(codePoint);
  if (codePoint >= 0x2010 && codePoint < 0x2028) return 1;
  if ((codePoint >= 0x3400 && codePoint < 0xa000) || (codePoint >= 0xac00 && codePoint < 0xd7a4)) {
    return eastAsianWidth(codePoint);
  }
  if (codePoint > 0x10ffff) return 0;
  if (isJoiningJamo(codePoint) || DRAWS_NOTHING.test(String.fromCodePoint(codePoint))) return 0;
  return eastAsianWidth(codePoint);
}

/** Controls, format characters, marks that sit on the cell before, and what is no character at all. */
const DRAWS_NOTHING =
  /^[\p{Cc}\p{Cf}\p{Cs}\p{Mn}\p{Me}\p{Zl}\p{Zp}\p{Default_Ignorable_Code_Point}\p{Noncharacter_Code_Point}]/u;

function isPrintableLatin(codePoint: number): boolean {
  return (codePoint >= 0x20 && codePoint < 0x7f) || (codePoint >= 0xa0 && codePoint !== 0xad);
}

function isJoiningJamo(codePoint: number): boolean {
  return (codePoint >= 0x1160 && codePoint <= 0x11ff) || (codePoint >= 0xd7b0 && codePoint <= 0xd7ff);
}
