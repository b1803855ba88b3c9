import type { Area } from './area.ts';
import { type CellGrid, PLAIN, SPACE } from './cell-grid.ts';

/** Fills an area with one narrow character, a space unless said. */
export function fillArea(grid: CellGrid, area: Area, style: number = PLAIN, codePoint: number = SPACE): void {
  for (let y = area.y; y < area.y + area.height; y++) {
    for (let x = area.x; x < area.x + area.width; x++) grid.set(x, y, codePoint, style);
  }
}

/** The line pieces of a box: corners clockwise from the top left, then the horizontal and the vertical. */
export type BoxLines = readonly [
  topLeft: string,
  topRight: string,
  bottomRight: string,
  bottomLeft: string,
  horizontal: string,
  vertical: string,
];
export const LINE_BOX: BoxLines = ['┌', '┐', '┘', '└', '─', '│'];
export const ASCII_BOX: BoxLines = ['+', '+', '+', '+', '-', '|'];

/** Draws the outline of an area, at least two by two; its inside stays. */
export function drawBox(grid: CellGrid, area: Area, style: number, lines: BoxLines = LINE_BOX): void {
  if (area.width < 2 || area.height < 2) return;
  const [topLeft, topRight, bottomRight, bottomLeft, horizontal, vertical] = lines.map(
    (piece) => piece.codePointAt(0)!,
  ) as [number, number, number, number, number, number];
  const right = area.x + area.width - 1;
  const bottom = area.y + area.height - 1;
  for (let x = area.x + 1; x < right; x++) {
    grid.set(x, area.y, horizontal, style);
    grid.set(x, bottom, horizontal, style);
  }
  for (let y = area.y + 1; y < bottom; y++) {
    grid.set(area.x, y, vertical, style);
    grid.set(right, y, vertical, style);
  }
  grid.set(area.x, area.y, topLeft, style);
  grid.set(right, area.y, topRight, style);
  grid.set(right, bottom, bottomRight, style);
  grid.set(area.x, bottom, bottomLeft, style);
}
