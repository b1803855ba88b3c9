import type { CellGrid } from '../cells/cell-grid.ts';

/** What is on the screen: the terminal asks for its cells whenever it can draw them. */
export interface Frame {
  /** Fills the whole grid with what is to be seen now. */
  compose(grid: CellGrid): void;
  /** The terminal has another size; the next grid has it too. */
  resize(columns: number, rows: number): void;
}
