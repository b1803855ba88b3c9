import {
  ATTRIBUTE_BITS,
  BACKGROUND_BITS,
  BACKGROUND_SHIFT,
  BOLD,
  DIM,
  FOREGROUND_BITS,
  INVERSE,
  ITALIC,
  PLAIN,
  UNDERLINE,
} from '../cells/cell-grid.ts';

/**
 * The shortest SGR sequence (ECMA-48, 8.3.117; 38;5;n and 48;5;n of ITU-T T.416) from one style to another,
 * either change by change or from a reset. Transitions come back often, so they are kept (at most `KEPT`).
 */
export class StyleCodes {
  readonly #kept = new Map<number, string>();

  between(from: number, to: number): string {
    if (from === to) return '';
    // Styles take 23 bits, so both fit into one safe integer.
    const key = from * 2 ** 23 + to;
    let code = this.#kept.get(key);
    if (code === undefined) {
      code = shortest(from, to);
      if (this.#kept.size >= KEPT) this.#kept.clear();
      this.#kept.set(key, code);
    }
    return code;
  }
}

const KEPT = 1024;

function shortest(from: number, to: number): string {
  if (to === PLAIN) return '\u001b[m';
  // An empty parameter is 0, the reset.
  const fromReset = ['', ...changes(PLAIN, to)].join(';');
  const fromHere = changes(from, to).join(';');
  return `\u001b[${fromHere.length <= fromReset.length ? fromHere : fromReset}m`;
}

function changes(from: number, to: number): string[] {
  const codes: string[] = [];
  let had = from & ATTRIBUTE_BITS;
  const wanted = to & ATTRIBUTE_BITS;
  for (const [code, bits] of SWITCHED_OFF_BY) {
    if ((had & bits & ~wanted) === 0) continue;
    codes.push(code);
    had &= ~bits;
  }
  for (const [code, bit] of SWITCHED_ON_BY) if ((wanted & bit & ~had) !== 0) codes.push(code);
  const front = to & FOREGROUND_BITS;
  const back = (to & BACKGROUND_BITS) >> BACKGROUND_SHIFT;
  if (front !== (from & FOREGROUND_BITS)) codes.push(colour(front, 30));
  if (back !== (from & BACKGROUND_BITS) >> BACKGROUND_SHIFT) codes.push(colour(back, 40));
  return codes;
}

/** 22 ends bold and dim together. */
const SWITCHED_OFF_BY: readonly (readonly [string, number])[] = [
  ['22', BOLD | DIM],
  ['23', ITALIC],
  ['24', UNDERLINE],
  ['27', INVERSE],
];
const SWITCHED_ON_BY: readonly (readonly [string, number])[] = [
  ['1', BOLD],
  ['2', DIM],
  ['3', ITALIC],
  ['4', UNDERLINE],
  ['7', INVERSE],
];

/** `base` is 30 for the foreground, 40 for the background; colours 8–15 lie 60 above (aixterm's, widely read). */
function colour(bits: number, base: number): string {
  if (bits === 0) return String(base + 9);
  const index = bits - 1;
  if (index < 8) return String(base + index);
  if (index < 16) return String(base + 60 + index - 8);
  return `${base + 8};5;${index}`;
}
