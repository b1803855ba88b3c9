import { cellWidth } from '../cells/cell-width.ts';

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
  const head = text.slice(0, limit * 4);
  if (ASCII_ONLY.test(head)) return head.slice(0, limit);
  const plain = head.replace(SEQUENCES, '').replace(BLANKS, ' ').normalize('NFC');
  let clean = '';
  let count = 0;
  for (const character of plain) {
    const codePoint = character.codePointAt(0)!;
    if (count === limit) break;
    if (!isHalf(codePoint) && !isShown(codePoint)) continue;
    clean += isHalf(codePoint) ? NO_LETTER : (STAND_INS.get(codePoint) ?? character);
    count += 1;
  }
  return ASCII_ONLY.test(clean) ? clean : withoutJoined(clean.normalize('NFC'));
}

const ASCII_ONLY = /^[ -~]*$/;

/**
 * Of characters that still belong together (Unicode Standard Annex 29) only what every program counts alike:
 * the first, and spacing marks and half-width forms, which take a column of their own.
 */
function withoutJoined(text: string): string {
  let kept = '';
  // Made when first needed: it takes a start-up some ten milliseconds.
  clusters ??= new Intl.Segmenter();
  for (const { segment } of clusters.segment(text)) {
    const [first, ...others] = segment;
    kept += first;
    for (const other of others) if (OWN_COLUMN.test(other)) kept += other;
  }
  return kept;
}

let clusters: Intl.Segmenter | undefined;
const OWN_COLUMN = /[\p{Mc}\uff00-\uffef]/u;

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

/** Half of a surrogate pair: a letter that is none, or a byte of a file name that is not UTF-8. */
function isHalf(codePoint: number): boolean {
  return codePoint >= 0xd800 && codePoint <= 0xdfff;
}
const NO_LETTER = '\ufffd';

/**
 * Skin tones join the emoji before them on some terminals and take cells of their own on others; the letters of
 * `PREFIXED` join what follows.
 */
function isShown(codePoint: number): boolean {
  if (codePoint >= 0x1f3fb && codePoint <= 0x1f3ff) return false;
  return !PREFIXED.has(codePoint) && cellWidth(codePoint) > 0;
}

/** Letters whose grapheme cluster break is Prepend (Unicode 17, Standard Annex 29). */
const PREFIXED = new Set([
  0x0d4e, 0x111c2, 0x111c3, 0x113d1, 0x1193f, 0x11941, 0x11a3a, 0x11a84, 0x11a85, 0x11a86, 0x11a87, 0x11a88,
  0x11a89, 0x11d46, 0x11f02,
]);
