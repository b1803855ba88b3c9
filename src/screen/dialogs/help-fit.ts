import type { HelpLine } from '../keys/help-lines.ts';

const LEAST_COLUMN = 38;

/** How the lines of the help stand in a room of this size; `lastRow` is the last line that it scrolls to. */
export interface HelpFit {
  readonly columns: number;
  readonly columnWidth: number;
  readonly rows: number;
  readonly lastRow: number;
}

export function helpFit(lines: readonly HelpLine[], width: number, height: number): HelpFit {
  const columns = Math.max(1, Math.floor(width / LEAST_COLUMN));
  const rows = Math.min(height, Math.ceil(lines.length / columns));
  const columnWidth = Math.floor(width / columns);
  return { columns, columnWidth, rows, lastRow: Math.max(0, lines.length - columns * rows) };
}
