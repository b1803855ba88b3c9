/**
 * The cells of a terminal screen, as two flat columns (row-major): a code point and a style each. A wide
 * character holds its code point in the left cell and WIDE_TAIL in the right one. Painters write here; only
 * `terminal/` turns it into bytes.
 */
export class CellGrid {
  readonly glyph: Uint32Array;
  readonly style: Uint32Array;

  constructor(
    readonly columns: number,
    readonly rows: number,
  ) {
    this.glyph = new Uint32Array(columns * rows).fill(SPACE);
    this.style = new Uint32Array(columns * rows);
  }

  set(x: number, y: number, codePoint: number, style: number): void {
    if (x < 0 || y < 0 || x >= this.columns || y >= this.rows) return;
    const at = y * this.columns + x;
    this.glyph[at] = codePoint;
    this.style[at] = style;
  }
}

export const SPACE = 0x20;
export const WIDE_TAIL = 0;

/**
 * A style is one number: bits 0–8 foreground and 9–17 background (0 = the terminal's own, else palette index
 * + 1), then one bit for each attribute.
 */
export const PLAIN = 0;
export const BOLD = 1 << 18;
export const DIM = 1 << 19;
export const UNDERLINE = 1 << 20;
export const INVERSE = 1 << 21;
export const ITALIC = 1 << 22;

export function foreground(paletteIndex: number): number {
  return paletteIndex + 1;
}

export function background(paletteIndex: number): number {
  return (paletteIndex + 1) << 9;
}
