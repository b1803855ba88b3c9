import type { Area } from '../../src/screen/cells/area.ts';
import type { CellGrid } from '../../src/screen/cells/cell-grid.ts';

/** Fills an area with one narrow character, a space unless said. */
export function fillArea(grid: CellGrid, area: Area, style: number, codePoint = 0x20): void {
  for (let y = area.y; y < area.y + area.height; y += 1) {
    for (let x = area.x; x < area.x + area.width; x += 1) grid.set(x, y, codePoint, style);
  }
}
