import {
  BACKGROUND_BITS,
  type CellGrid,
  INVERSE,
  PLAIN,
  SPACE,
  UNDERLINE,
  WIDE_TAIL,
} from '../cells/cell-grid.ts';
import { cellWidth } from '../cells/cell-width.ts';
import { asciiStandIn } from './ascii-stand-in.ts';
import { BytePage } from './byte-page.ts';
import { type ColourDepth, styleReducer } from './colour-depth.ts';
import { CursorMoves } from './cursor-moves.ts';
import { StyleCodes } from './style-codes.ts';

/**
 * Remembers what the terminal shows and turns the next grid into the bytes for what changed, with few cursor
 * moves and colour changes. Whatever lies in the grid, no control character comes out of a cell: code points
 * that draw nothing become spaces, as does half of a wide character.
 *
 * Expects the terminal's automatic wrap to be off (DECAWM); the cursor is taken as unknown after the last
 * column all the same, and after characters whose width terminals disagree about.
 */
export class CellDifference {
  readonly #page = new BytePage();
  readonly #moves = new CursorMoves(this.#page);
  readonly #codes = new StyleCodes();
  readonly #reduce: (style: number) => number;
  #columns = 0;
  #rows = 0;
  #shownGlyph = new Uint32Array(0);
  #shownStyle = new Uint32Array(0);
  #glyph = new Uint32Array(0);
  #style = new Uint32Array(0);
  #currentStyle = PLAIN;
  #isForgotten = true;

  readonly #isAscii: boolean;

  constructor(depth: ColourDepth, isAscii = false) {
    this.#isAscii = isAscii;
    this.#reduce = styleReducer(depth);
  }

  /** The terminal's contents are unknown from now on: the next frame clears it and draws all. */
  forget(): void {
    this.#isForgotten = true;
  }

  /** The bytes that turn what is shown into `grid`; none when nothing changed. Valid until the next call. */
  encode(grid: CellGrid): Buffer {
    this.#page.clear();
    if (grid.columns !== this.#columns || grid.rows !== this.#rows) this.#resize(grid.columns, grid.rows);
    if (this.#isForgotten) this.#clearTerminal();
    this.#normalise(grid);
    for (let y = 0; y < this.#rows; y += 1) this.#encodeRow(y);
    this.#shownGlyph.set(this.#glyph);
    this.#shownStyle.set(this.#style);
    return this.#page.view();
  }

  #resize(columns: number, rows: number): void {
    this.#columns = columns;
    this.#rows = rows;
    this.#shownGlyph = new Uint32Array(columns * rows);
    this.#shownStyle = new Uint32Array(columns * rows);
    this.#glyph = new Uint32Array(columns * rows);
    this.#style = new Uint32Array(columns * rows);
    this.#isForgotten = true;
  }

  #clearTerminal(): void {
    this.#page.ascii('\u001b[m\u001b[H\u001b[2J');
    this.#moves.set(0, 0);
    this.#currentStyle = PLAIN;
    this.#shownGlyph.fill(SPACE);
    this.#shownStyle.fill(PLAIN);
    this.#isForgotten = false;
  }

  /** Fills `glyph` and `style` with what the terminal can show of the grid. */
  #normalise(grid: CellGrid): void {
    const columns = this.#columns;
    for (let at = 0; at < this.#glyph.length; at += 1) {
      let glyph = grid.glyph[at]!;
      let style = this.#reduce(grid.style[at]!);
      if (glyph < SPACE || glyph > 0x7e) {
        const width = cellWidth(glyph);
        if (width === 2 && (at + 1) % columns !== 0 && grid.glyph[at + 1] === WIDE_TAIL) {
          this.#glyph[at] = this.#isAscii ? QUESTION_MARK : glyph;
          this.#style[at] = style;
          at += 1;
          this.#glyph[at] = this.#isAscii ? QUESTION_MARK : WIDE_TAIL;
          this.#style[at] = style;
          continue;
        }
        if (width !== 1) glyph = SPACE;
        else if (this.#isAscii) glyph = asciiStandIn(glyph);
      }
      // Of a blank cell only the background shows, unless it is inverse or underlined.
      if (glyph === SPACE && (style & (INVERSE | UNDERLINE)) === 0) style &= BACKGROUND_BITS;
      this.#glyph[at] = glyph;
      this.#style[at] = style;
    }
  }

  #encodeRow(y: number): void {
    const columns = this.#columns;
    const glyph = this.#glyph;
    const style = this.#style;
    const shownGlyph = this.#shownGlyph;
    const shownStyle = this.#shownStyle;
    const start = y * columns;
    const end = start + columns;
    const blankFrom = this.#eraseFrom(start, end);
    for (let at = start; at < blankFrom; at += 1) {
      if (glyph[at] === shownGlyph[at] && style[at] === shownStyle[at]) continue;
      // A tail is drawn with its head, which differs too or was just written.
      if (glyph[at] === WIDE_TAIL) continue;
      this.#reach(at, start, y);
      this.#draw(at, at - start);
    }
    if (blankFrom < end) {
      this.#moves.to(blankFrom - start, y);
      this.#setStyle(PLAIN);
      this.#page.ascii('\u001b[K');
    }
  }

  /** Where erasing to the end of the row is cheaper than drawing its blanks; the row's end when nowhere. */
  #eraseFrom(start: number, end: number): number {
    let from = end;
    let changed = 0;
    while (from > start && this.#glyph[from - 1] === SPACE && this.#style[from - 1] === PLAIN) {
      from -= 1;
      if (this.#shownGlyph[from] !== SPACE || this.#shownStyle[from] !== PLAIN) changed += 1;
    }
    return changed > ERASE_BYTES ? from : end;
  }

  /** Moves the cursor to a cell, by drawing the unchanged cells between again where that is shorter. */
  #reach(at: number, start: number, y: number): void {
    const x = at - start;
    const gap = this.#moves.y === y ? x - this.#moves.x : -1;
    if (this.#moves.x >= 0 && gap > 0 && gap <= REDRAWN_GAP && this.#isCheap(at - gap, at)) {
      for (let cell = at - gap; cell < at; cell += 1) this.#page.byte(this.#glyph[cell]!);
      this.#moves.set(x, y);
    } else {
      this.#moves.to(x, y);
    }
  }

  #isCheap(from: number, to: number): boolean {
    for (let cell = from; cell < to; cell += 1) {
      if (
        this.#style[cell] !== this.#currentStyle ||
        this.#glyph[cell]! > 0x7e ||
        this.#glyph[cell] === WIDE_TAIL
      ) {
        return false;
      }
    }
    return true;
  }

  #draw(at: number, x: number): void {
    const codePoint = this.#glyph[at]!;
    const isWide = x + 1 < this.#columns && this.#glyph[at + 1] === WIDE_TAIL;
    const isSure = hasAgreedWidth(codePoint);
    this.#setStyle(this.#style[at]!);
    // Where a terminal draws it narrow the second cell would keep what was there.
    if (isWide && !isSure) this.#page.ascii('  \b\b');
    this.#page.codePoint(codePoint);
    const next = x + (isWide ? 2 : 1);
    if (isSure && next < this.#columns) this.#moves.set(next, this.#moves.y);
    else this.#moves.lose();
  }

  #setStyle(style: number): void {
    this.#page.ascii(this.#codes.between(this.#currentStyle, style));
    this.#currentStyle = style;
  }
}

const QUESTION_MARK = 0x3f;
/** ESC [ K */
const ERASE_BYTES = 3;
/** ESC [ n C takes four bytes up to nine columns. */
const REDRAWN_GAP = 4;

/**
 * Characters that all terminals give the same width: Latin, Greek, Cyrillic, lines, blocks and braille, and
 * the ideographs and syllables that were wide in every version of Unicode Standard Annex 11.
 */
function hasAgreedWidth(codePoint: number): boolean {
  if (codePoint < 0x530) return true;
  if (codePoint >= 0x2500 && codePoint <= 0x259f) return true;
  if (codePoint >= 0x2800 && codePoint <= 0x28ff) return true;
  if (codePoint >= 0x3041 && codePoint <= 0x9fff) return codePoint !== 0x303f;
  return (codePoint >= 0xac00 && codePoint <= 0xd7a3) || (codePoint >= 0xff01 && codePoint <= 0xff60);
}
