import type { CellGrid } from './cell-grid.ts';

/** A rectangle of cells; may reach outside the grid or be empty. */
export interface Area {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export function isInside({ x, y, width, height }: Area, column: number, row: number): boolean {
  return column >= x && column < x + width && row >= y && row < y + height;
}

/** Draws a state into its area: same state, same cells; never looks at a clock, a file or the terminal. */
export type Painter<State> = (grid: CellGrid, area: Area, state: State) => void;
