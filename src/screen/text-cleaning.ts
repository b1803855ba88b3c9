import { cellWidth } from './cells/cell-width.ts';

/** Longest text shown from a song, in code points: more than the widest line, short enough to cost nothing. */
export const CLEAN_TEXT_LIMIT = 512;

/**
 * Text from a song (or a file name) made harmless and plain for the screen: terminal sequences (ECMA-48
 * control functions and control strings) taken out whole, no other control character left, no bidirectional
 * control, nothing invisible, line ends and tabs to single spaces, marks composed into their letters where
 * Unicode has one (NFC) and dropped otherwise, at most `limit` code points. Cleaning twice changes nothing.
 */
export function cleanText(text: string, limit: number = CLEAN_TEXT_LIMIT): string {
  // Cut first, so that a megabyte of text costs no more than a line of it.
  const plain = text
    .slice(0, limit * 4)
    .replace(SEQUENCES, '')
    .replace(BLANKS, ' ')
    .normalize('NFC');
  let clean = '';
  let count = 0;
  for (const character of plain) {
    const codePoint = character.codePointAt(0)!;
    if (count === limit) break;
    if (!isShown(codePoint)) continue;
    clean += STAND_INS.get(codePoint) ?? character;
    count++;
  }
  return clean.normalize('NFC');
}

/**
 * ECMA-48: a control sequence is CSI, parameters 30–3F, intermediates 20–2F, a final 40–7E; a control string
 * is OSC, DCS, APC, PM or SOS up to ST (or BEL, as terminals accept). A string without its end is not taken out, or the
 * rest of the text would go with it; its introducer falls as a control character.
 */
const SEQUENCES =
  /(?:\u001b\[|\u009b)[0-?]*[ -/]*[@-~]|(?:\u001b[\]PX^_]|[\u009d\u0090\u0098\u009e\u009f])[^\u0007\u001b\u009c]*(?:\u0007|\u001b\\|\u009c)|\u001b[ -/]*[0-~]/g;
const BLANKS = /[\t\n\v\f\r\u0085\u2028\u2029]+/g;

/** Thai and Lao AM hold a mark and a letter in one code point, which libraries count differently: the letter stays. */
const STAND_INS = new Map([
  [0x0e33, '\u0e32'],
  [0x0eb3, '\u0eb2'],
]);

/** Skin tones join the emoji before them on some terminals and take cells of their own on others. */
function isShown(codePoint: number): boolean {
  if (codePoint >= 0x1f3fb && codePoint <= 0x1f3ff) return false;
  return cellWidth(codePoint) > 0;
}
