import type { CellGrid } from '../cells/cell-grid.ts';
import { DOT_ROWS, DOTS_ACROSS, isDot } from './large-letters.ts';

/** How large letters are drawn: two dots to a cell where there are half blocks, else one. */
export interface LargeScale {
  /** Cells across that a dot takes; as many dots' rows down. */
  readonly dot: number;
  readonly hasBlocks: boolean;
}

export function largeRows({ dot, hasBlocks }: LargeScale): number {
  return Math.ceil((DOT_ROWS * dot) / (hasBlocks ? 2 : 1));
}

/** Letters that fit in so many columns. */
export function largeRoom(columns: number, { dot }: LargeScale): number {
  return Math.max(0, Math.floor((columns + dot) / (DOTS_ACROSS * dot)));
}

/** @param text as `largeText` gives it, no longer than there is room for */
export function drawLarge(
  grid: CellGrid,
  x: number,
  y: number,
  text: string,
  style: number,
  scale: LargeScale,
): void {
  const { dot, hasBlocks } = scale;
  const down = hasBlocks ? 2 : 1;
  for (const [n, letter] of [...text].entries()) {
    for (let row = 0; row < largeRows(scale); row += 1) {
      for (let column = 0; column < DOTS_ACROSS * dot; column += 1) {
        const at = (half: number) =>
          isDot(letter, Math.floor(column / dot), Math.floor((row * down + half) / dot));
        const sign = hasBlocks ? BLOCKS[Number(at(0)) + 2 * Number(at(1))]! : at(0) ? '#' : '';
        if (sign !== '') grid.set(x + n * DOTS_ACROSS * dot + column, y + row, sign.codePointAt(0)!, style);
      }
    }
  }
}

/** Nothing, the upper half, the lower half, both (Unicode Block Elements). */
const BLOCKS = ['', '▀', '▄', '█'];
