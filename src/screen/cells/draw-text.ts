import type { CellGrid } from './cell-grid.ts';
import { cellWidth } from './cell-width.ts';
import { cutText } from './cut-text.ts';

/**
 * Writes text from x to the right, at most `maxWidth` columns; of what does not fit as `cutText` says. Code points
 * that take no column are left out. Returns the columns used, so that the next piece can follow.
 */
export function drawText(
  grid: CellGrid,
  x: number,
  y: number,
  whole: string,
  style: number,
  maxWidth = grid.columns - x,
): number {
  const text = cutText(whole, maxWidth);
  let used = 0;
  for (let at = 0; at < text.length && used < maxWidth; at += 1) {
    const codePoint = text.codePointAt(at)!;
    if (codePoint > 0xffff) at += 1;
    const width = cellWidth(codePoint);
    if (width === 1) grid.set(x + used, y, codePoint, style);
    if (width === 2) {
      if (used + 2 > maxWidth) break;
      grid.setWide(x + used, y, codePoint, style);
    }
    used += width;
  }
  return used;
}

/** Columns that `drawText` would use with room enough. */
export function textWidth(text: string): number {
  let width = 0;
  for (let at = 0; at < text.length; at += 1) {
    const codePoint = text.codePointAt(at)!;
    if (codePoint > 0xffff) at += 1;
    width += cellWidth(codePoint);
  }
  return width;
}
