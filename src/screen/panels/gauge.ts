import type { CellGrid } from '../cells/cell-grid.ts';

/** A horizontal bar of `width` cells, filled to `share` (0–1) in steps of a part of a cell. */
export function paintGauge(
  grid: CellGrid,
  x: number,
  y: number,
  width: number,
  share: number,
  style: number,
  fills: readonly string[],
): void {
  const steps = fills.length - 1;
  let full = Math.round(Math.min(1, Math.max(0, share)) * width * steps);
  if (share > 0 && full === 0) full = 1;
  for (let cell = 0; cell < width; cell += 1) {
    const part = Math.min(steps, Math.max(0, full - cell * steps));
    grid.set(x + cell, y, fills[part]!.codePointAt(0)!, style);
  }
}
