import type { Area } from '../cells/area.ts';

/** Where everything goes on a screen of a given size. An area without rows is left out. */
export interface Layout {
  readonly columns: number;
  readonly rows: number;
  readonly title: Area;
  readonly position: Area;
  readonly markers: Area;
  readonly headings: Area;
  /** All lanes; `bands` side by side, each lane `laneRows` tall. */
  readonly lanes: Area;
  readonly bands: 1 | 2;
  readonly laneRows: 1 | 2;
  readonly wire: Area;
  /** Stuck notes, the log and the chosen lane, where the screen is tall enough for a panel of them. */
  readonly notebook: Area;
  readonly message: Area;
  readonly hint: Area;
}

export const SMALLEST = { columns: 40, rows: 12 } as const;

const LANES = 16;
/** Below this many rows the lanes stand in two bands of eight. */
const ROWS_FOR_ONE_BAND = 20;
const NOTEBOOK_LEAST = 3;

/** Shares out the rows: first what nobody can do without, then line by line what helps most. */
export function layoutFor(columns: number, rows: number): Layout | undefined {
  if (columns < SMALLEST.columns || rows < SMALLEST.rows) return undefined;
  const bands = rows >= ROWS_FOR_ONE_BAND ? 1 : 2;
  const bandRows = LANES / bands;
  let left = rows - 4 - bandRows;
  const take = (most: number): number => {
    const taken = Math.min(most, Math.max(0, left));
    left -= taken;
    return taken;
  };
  const message = take(1);
  const markers = take(1);
  const headings = bands === 1 ? take(1) : 0;
  const wireMore = take(1);
  const laneRows = left >= bandRows ? 2 : 1;
  if (laneRows === 2) left -= bandRows;
  const positionMore = take(2);
  const notebook = left >= NOTEBOOK_LEAST ? take(left) : 0;

  let y = 0;
  const area = (height: number): Area => {
    const made = { x: 0, y, width: columns, height };
    y += height;
    return made;
  };
  return {
    columns,
    rows,
    bands,
    laneRows,
    title: area(1),
    position: area(1 + positionMore),
    markers: area(markers),
    headings: area(headings),
    lanes: area(bandRows * laneRows),
    wire: area(1 + wireMore),
    notebook: area(notebook),
    message: area(message + Math.max(0, left)),
    hint: area(1),
  };
}
