import type { Area } from './area.ts';

/**
 * The cells of a terminal screen, as two flat columns (row-major): a code point and a style each. A wide
 * character holds its code point in the left cell and WIDE_TAIL in the right one. Painters write here; only
 * `terminal/` turns it into bytes. One code point a cell: terminals disagree about longer clusters.
 */
export class CellGrid {
  readonly glyph: Uint32Array;
  readonly style: Uint32Array;
  #left = 0;
  #top = 0;
  #right: number;
  #bottom: number;

  constructor(
    readonly columns: number,
    readonly rows: number,
  ) {
    this.glyph = new Uint32Array(columns * rows).fill(SPACE);
    this.style = new Uint32Array(columns * rows);
    this.#right = columns;
    this.#bottom = rows;
  }

  /** From now on nothing outside the area changes; without one, the whole grid is open again. */
  clip(area?: Area): void {
    this.#left = area === undefined ? 0 : Math.max(0, area.x);
    this.#top = area === undefined ? 0 : Math.max(0, area.y);
    this.#right = area === undefined ? this.columns : Math.min(this.columns, area.x + area.width);
    this.#bottom = area === undefined ? this.rows : Math.min(this.rows, area.y + area.height);
  }

  /** One narrow character. Half of a wide one that is written over leaves a space in its other half. */
  set(x: number, y: number, codePoint: number, style: number): void {
    if (x < this.#left || y < this.#top || x >= this.#right || y >= this.#bottom) return;
    const at = y * this.columns + x;
    this.#split(at, x);
    this.glyph[at] = codePoint;
    this.style[at] = style;
  }

  /** A wide character in x and x + 1; a space where only one of the two cells may be written. */
  setWide(x: number, y: number, codePoint: number, style: number): void {
    if (x < this.#left || x + 1 >= this.#right) {
      this.set(x, y, SPACE, style);
      this.set(x + 1, y, SPACE, style);
      return;
    }
    if (y < this.#top || y >= this.#bottom) return;
    const at = y * this.columns + x;
    this.#split(at, x);
    this.#split(at + 1, x + 1);
    this.glyph[at] = codePoint;
    this.glyph[at + 1] = WIDE_TAIL;
    this.style[at] = style;
    this.style[at + 1] = style;
  }

  /** Blanks everything, clipped or not. */
  clear(): void {
    this.glyph.fill(SPACE);
    this.style.fill(PLAIN);
  }

  /** Takes over all cells of a grid of the same size. */
  copyFrom(other: CellGrid): void {
    this.glyph.set(other.glyph);
    this.style.set(other.style);
  }

  /** Takes over one area of a grid of the same size. */
  copyArea(other: CellGrid, area: Area): void {
    const from = Math.max(0, area.x);
    const to = Math.min(this.columns, area.x + area.width);
    if (to <= from) return;
    const lastRow = Math.min(this.rows, area.y + area.height);
    for (let y = Math.max(0, area.y); y < lastRow; y += 1) {
      const at = y * this.columns;
      this.#split(at + from, from);
      this.#split(at + to - 1, to - 1);
      this.glyph.set(other.glyph.subarray(at + from, at + to), at + from);
      this.style.set(other.style.subarray(at + from, at + to), at + from);
      // A wide character that the area's edge cuts in two is a space on this side.
      if (this.glyph[at + from] === WIDE_TAIL) this.glyph[at + from] = SPACE;
      if (to < this.columns && other.glyph[at + to] === WIDE_TAIL) this.glyph[at + to - 1] = SPACE;
    }
  }

  #split(at: number, x: number): void {
    if (this.glyph[at] === WIDE_TAIL && x > 0) this.glyph[at - 1] = SPACE;
    if (x + 1 < this.columns && this.glyph[at + 1] === WIDE_TAIL) this.glyph[at + 1] = SPACE;
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

export const FOREGROUND_BITS = 0x1ff;
export const BACKGROUND_SHIFT = 9;
export const BACKGROUND_BITS = 0x1ff << BACKGROUND_SHIFT;
export const ATTRIBUTE_BITS = BOLD | DIM | UNDERLINE | INVERSE | ITALIC;

export function foreground(paletteIndex: number): number {
  return paletteIndex + 1;
}

export function background(paletteIndex: number): number {
  return (paletteIndex + 1) << BACKGROUND_SHIFT;
}
