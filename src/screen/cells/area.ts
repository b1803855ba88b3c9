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
