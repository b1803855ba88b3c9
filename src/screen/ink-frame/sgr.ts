import {
  ATTRIBUTE_BITS,
  BACKGROUND_BITS,
  BOLD,
  background,
  DIM,
  FOREGROUND_BITS,
  foreground,
  INVERSE,
  ITALIC,
  PLAIN,
  UNDERLINE,
} from '../cells/cell-grid.ts';
import { nearestPaletteIndex } from '../cells/palette.ts';

/**
 * The style after the SGR parameters in `text` from `start` to `end` (ECMA-48, 8.3.117; 38 and 48 with the
 * forms 5;n and 2;r;g;b of ITU-T T.416, separated by semicolons or colons). Unknown parameters change nothing.
 */
export function applySgr(text: string, start: number, end: number, style: number): number {
  let next = style;
  const values = start === end ? [0] : text.slice(start, end).split(/[;:]/).map(Number);
  for (let at = 0; at < values.length; at += 1) {
    const value = values[at]!;
    if (value === 38 || value === 48) {
      const isIndexed = values[at + 1] === 5;
      const index = isIndexed
        ? values[at + 2]
        : nearestPaletteIndex(values[at + 2] ?? 0, values[at + 3] ?? 0, values[at + 4] ?? 0);
      if (index !== undefined && index >= 0 && index <= 255) {
        next =
          value === 38 ? withForeground(next, foreground(index)) : withBackground(next, background(index));
      }
      at += isIndexed ? 2 : 4;
    } else if (value >= 30 && value <= 37) next = withForeground(next, foreground(value - 30));
    else if (value >= 90 && value <= 97) next = withForeground(next, foreground(value - 82));
    else if (value >= 40 && value <= 47) next = withBackground(next, background(value - 40));
    else if (value >= 100 && value <= 107) next = withBackground(next, background(value - 92));
    else next = (next | (SWITCHES_ON[value] ?? 0)) & ~(SWITCHES_OFF[value] ?? 0);
  }
  return next;
}

const SWITCHES_ON: Readonly<Record<number, number>> = {
  1: BOLD,
  2: DIM,
  3: ITALIC,
  4: UNDERLINE,
  7: INVERSE,
};

const SWITCHES_OFF: Readonly<Record<number, number>> = {
  0: ATTRIBUTE_BITS | FOREGROUND_BITS | BACKGROUND_BITS,
  22: BOLD | DIM,
  23: ITALIC,
  24: UNDERLINE,
  27: INVERSE,
  39: FOREGROUND_BITS,
  49: BACKGROUND_BITS,
};

function withForeground(style: number, colour: number): number {
  return (style & ~FOREGROUND_BITS) | colour;
}

function withBackground(style: number, colour: number): number {
  return (style & ~BACKGROUND_BITS) | colour;
}

/** The SGR sequence that sets a style from any state before: the plain way in, for text handed to Ink. */
export function sgrFor(style: number): string {
  if (style === PLAIN) return '\u001b[0m';
  const codes = ['0'];
  for (const [code, bit] of Object.entries(SWITCHES_ON)) if ((style & bit) !== 0) codes.push(code);
  const front = style & FOREGROUND_BITS;
  const back = (style & BACKGROUND_BITS) >> 9;
  if (front > 0) codes.push(`38;5;${front - 1}`);
  if (back > 0) codes.push(`48;5;${back - 1}`);
  return `\u001b[${codes.join(';')}m`;
}
