import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { numberAround, numbersIn } from '../cells/number-around.ts';
import { wrappedLines } from '../format/wrapped-lines.ts';
import { drawLarge, type LargeScale, largeRoom, largeRows } from './draw-large.ts';
import { largeText } from './large-letters.ts';

/** Screens smaller than this have no room for letters that are read from afar. */
const SMALLEST = { columns: 58, rows: 17 };

/** There is no letter for the sign itself. */
const ELLIPSIS = '...';

export interface Line {
  readonly text: string;
  /** In large letters; else in those of the terminal. */
  readonly isLarge: boolean;
}

/** As large as a dozen letters across and three lines with room between them allow. */
export function scaleFor({ width, height }: Area, hasBlocks: boolean): LargeScale {
  return { dot: Math.max(1, Math.floor(Math.min(width / 78, height / 20))), hasBlocks };
}

/** Words in large letters, in at most so many rows; as they are where letters are missing or the screen is small. */
export function largeLines(words: string, mostRows: number, area: Area, scale: LargeScale): Line[] {
  const large = largeText(words);
  const isSmall = area.width < SMALLEST.columns || area.height < SMALLEST.rows;
  if (large === undefined || isSmall || mostRows < largeRows(scale)) return [{ text: words, isLarge: false }];
  const room = largeRoom(area.width - 2, scale);
  // A number that no line holds would be parted, and read as two.
  if (numbersIn(large).some((number) => number.length > room)) return [{ text: words, isLarge: false }];
  const lines = wrappedLines(large, room);
  const most = Math.floor(mostRows / largeRows(scale));
  if (lines.length > most) {
    const last = lines[most - 1]!;
    const place = room - ELLIPSIS.length;
    lines.splice(most - 1, lines.length, last.slice(0, numberAround(last, place)?.from ?? place) + ELLIPSIS);
  }
  return lines.map((text) => ({ text, isLarge: true }));
}

export function rowsOf(lines: readonly Line[], scale: LargeScale): number {
  return lines.reduce((sum, { isLarge }) => sum + (isLarge ? largeRows(scale) : 1), 0);
}

/** Draws lines below each other from row `y` of the area on; what would end below it is left out. Returns the row behind. */
export function drawLines(
  grid: CellGrid,
  area: Area,
  y: number,
  lines: readonly Line[],
  style: number,
  scale: LargeScale,
): number {
  let row = y;
  for (const line of lines) {
    const rows = rowsOf([line], scale);
    if (row + rows > area.height) return row;
    if (line.isLarge) drawLarge(grid, area.x + 1, area.y + row, line.text, style, scale);
    else drawText(grid, area.x + 1, area.y + row, line.text, style, area.width - 2);
    row += rows;
  }
  return row;
}
