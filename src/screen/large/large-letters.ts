/**
 * Letters of five by seven dots, drawn by us in the manner of dot matrices: seven rows of five bits, the highest bit at the
 * left. Capitals only; marks above letters are left out.
 */
const DOTS: Readonly<Record<string, string>> = {
  ' ': '00000000000000',
  A: '0e11111f111111',
  B: '1e11111e11111e',
  C: '0e11101010110e',
  D: '1c12111111121c',
  E: '1f10101e10101f',
  F: '1f10101e101010',
  G: '0e11101711110f',
  H: '1111111f111111',
  I: '0e04040404040e',
  J: '0702020202120c',
  K: '11121418141211',
  L: '1010101010101f',
  M: '111b1515111111',
  N: '11111915131111',
  O: '0e11111111110e',
  P: '1e11111e101010',
  Q: '0e11111115120d',
  R: '1e11111e141211',
  S: '0f10100e01011e',
  T: '1f040404040404',
  U: '1111111111110e',
  V: '11111111110a04',
  W: '1111111515150a',
  X: '11110a040a1111',
  Y: '1111110a040404',
  Z: '1f01020408101f',
  0: '0e11131519110e',
  1: '040c040404040e',
  2: '0e11010204081f',
  3: '1f02040201110e',
  4: '02060a121f0202',
  5: '1f101e0101110e',
  6: '0608101e11110e',
  7: '1f010204080808',
  8: '0e11110e11110e',
  9: '0e11110f01020c',
  '.': '00000000000c0c',
  ',': '000000000c0408',
  ':': '000c0c000c0c00',
  ';': '000c0c000c0408',
  '-': '0000001f000000',
  '+': '0004041f040400',
  "'": '0c040800000000',
  '"': '0a0a0a00000000',
  '!': '04040404000004',
  '?': '0e110102040004',
  '&': '0c12140815120d',
  '(': '02040808080402',
  ')': '08040202020408',
  '/': '00010204081000',
  '#': '0a0a1f0a1f0a0a',
  '%': '18190204081303',
};

export const DOT_ROWS = 7;
const DOT_COLUMNS = 5;
/** Dots from one letter to the next. */
export const DOTS_ACROSS = DOT_COLUMNS + 1;

/** The text in the letters there are; undefined where some have no likeness among them. */
export function largeText(text: string): string | undefined {
  const plain = text
    .normalize('NFD')
    .replace(/\p{Mn}/gu, '')
    .replaceAll(/[‘’]/g, "'")
    .replaceAll(/[“”]/g, '"')
    .replaceAll(/[–—]/g, '-')
    .replaceAll('…', '...')
    .replaceAll('ß', 'ss')
    .toUpperCase();
  return [...plain].every((letter) => letter in DOTS) ? plain : undefined;
}

/** Whether a dot of a letter of `largeText` is drawn. Column 5 is the gap to the next letter. */
export function isDot(letter: string, column: number, row: number): boolean {
  if (column >= DOT_COLUMNS || row >= DOT_ROWS) return false;
  const bits = Number.parseInt(DOTS[letter]!.slice(row * 2, row * 2 + 2), 16);
  return (bits & (1 << (DOT_COLUMNS - 1 - column))) !== 0;
}
