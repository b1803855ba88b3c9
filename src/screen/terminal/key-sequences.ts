/**
 * What the keys of a terminal send behind ESC [ or ESC O: the final letter, or the number before a tilde
 * (ECMA-48 leaves both to the maker; these are the ones of VT220 and of xterm's control-sequence documentation).
 */
export const KEY_BY_LETTER: Readonly<Record<string, string>> = {
  A: 'up',
  B: 'down',
  C: 'right',
  D: 'left',
  E: '5',
  F: 'end',
  H: 'home',
  M: 'enter',
  P: 'f1',
  Q: 'f2',
  R: 'f3',
  S: 'f4',
  Z: 'shift-tab',
};

export const KEY_BY_NUMBER: Readonly<Record<number, string>> = {
  1: 'home',
  2: 'insert',
  3: 'delete',
  4: 'end',
  5: 'page-up',
  6: 'page-down',
  7: 'home',
  8: 'end',
  11: 'f1',
  12: 'f2',
  13: 'f3',
  14: 'f4',
  15: 'f5',
  17: 'f6',
  18: 'f7',
  19: 'f8',
  20: 'f9',
  21: 'f10',
  23: 'f11',
  24: 'f12',
};

/** The Linux console sends ESC [ [ A … E for F1 … F5 (its console_codes manual page). */
export const KEY_BY_CONSOLE_LETTER: Readonly<Record<string, string>> = {
  A: 'f1',
  B: 'f2',
  C: 'f3',
  D: 'f4',
  E: 'f5',
};

/** Single bytes below the space, and delete; the rest below 1B are Ctrl with the letter 40 above. */
export const KEY_BY_CONTROL: Readonly<Record<number, string>> = {
  0: 'ctrl-space',
  8: 'backspace',
  9: 'tab',
  13: 'enter',
  28: 'ctrl-\\',
  29: 'ctrl-]',
  30: 'ctrl-^',
  31: 'ctrl-_',
  127: 'backspace',
};

/** The second parameter of a key sequence is 1 + a sum of: 1 shift, 2 alt, 4 ctrl (xterm). */
export function modifierPrefix(parameter: number | undefined): string {
  const bits = (parameter ?? 1) - 1;
  return `${(bits & 4) !== 0 ? 'ctrl-' : ''}${(bits & 2) !== 0 ? 'alt-' : ''}${(bits & 1) !== 0 ? 'shift-' : ''}`;
}
