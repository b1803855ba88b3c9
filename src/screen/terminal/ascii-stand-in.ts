/**
 * One ASCII character for any other narrow one, for terminals or fonts that have no more (`--ascii`): letters
 * lose their accents, lines and blocks become - | + #, anything unknown a question mark.
 */
export function asciiStandIn(codePoint: number): number {
  if (codePoint < 0x7f) return codePoint;
  if (codePoint >= 0x2500 && codePoint <= 0x257f) return boxLine(codePoint);
  if (codePoint >= 0x2580 && codePoint <= 0x259f) return HASH;
  if (codePoint >= 0x2801 && codePoint <= 0x28ff) return COLON;
  const known = STAND_INS.get(codePoint);
  if (known !== undefined) return known;
  const base = String.fromCodePoint(codePoint).normalize('NFKD').codePointAt(0)!;
  return base >= 0x20 && base < 0x7f ? base : QUESTION_MARK;
}

const HASH = 0x23;
const PLUS = 0x2b;
const MINUS = 0x2d;
const COLON = 0x3a;
const QUESTION_MARK = 0x3f;
const BAR = 0x7c;

/** Unicode's box-drawing block has the straight lines in places 0–11, 4C–51 and 74–7F; the rest are joints. */
const HORIZONTAL = new Set([
  0x00, 0x01, 0x04, 0x05, 0x08, 0x09, 0x4c, 0x4d, 0x50, 0x74, 0x76, 0x78, 0x7a, 0x7c, 0x7e,
]);
const VERTICAL = new Set([
  0x02, 0x03, 0x06, 0x07, 0x0a, 0x0b, 0x4e, 0x4f, 0x51, 0x75, 0x77, 0x79, 0x7b, 0x7d, 0x7f,
]);

function boxLine(codePoint: number): number {
  const place = codePoint - 0x2500;
  if (HORIZONTAL.has(place)) return MINUS;
  return VERTICAL.has(place) ? BAR : PLUS;
}

const STAND_INS = new Map(
  Object.entries({
    '\u00a0': ' ',
    '¡': '!',
    '«': '<',
    '»': '>',
    '·': '.',
    '×': 'x',
    '÷': '/',
    ß: 's',
    æ: 'a',
    Æ: 'A',
    ø: 'o',
    Ø: 'O',
    đ: 'd',
    ł: 'l',
    Ł: 'L',
    '‐': '-',
    '–': '-',
    '—': '-',
    '‘': "'",
    '’': "'",
    '“': '"',
    '”': '"',
    '•': '*',
    '…': '~',
    '‖': '=',
    '←': '<',
    '↑': '^',
    '→': '>',
    '↓': 'v',
    '■': '#',
    '▶': '>',
    '▸': '>',
    '▾': 'v',
    '●': '*',
    '♭': 'b',
    '♯': '#',
    '✓': 'v',
    '✗': 'x',
  }).map(([from, to]) => [from.codePointAt(0)!, to.charCodeAt(0)] as const),
);
