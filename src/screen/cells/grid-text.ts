import { type CellGrid, WIDE_TAIL } from './cell-grid.ts';

/** The characters of a grid, a line each row, spaces at the line ends cut: for golden screens and screenshots. */
export function gridText(grid: CellGrid): string {
  const lines: string[] = [];
  for (let y = 0; y < grid.rows; y += 1) {
    let line = '';
    for (let x = 0; x < grid.columns; x += 1) {
      const codePoint = grid.glyph[y * grid.columns + x]!;
      if (codePoint !== WIDE_TAIL) line += String.fromCodePoint(codePoint);
    }
    lines.push(line.trimEnd());
  }
  return lines.join('\n');
}
