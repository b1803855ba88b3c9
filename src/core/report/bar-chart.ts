/** Eighths of a cell, from empty to full (Unicode Block Elements, U+2581–U+2588). */
const EIGHTHS = [' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'] as const;
/** The same in ASCII: four heights in a cell. */
const QUARTERS = [' ', '.', ':', '|', '#'] as const;

export interface BarChartOptions {
  readonly rows: number;
  /** Value at the top edge. */
  readonly top: number;
  readonly ascii: boolean;
  /** Labels of the top and the bottom edge. */
  readonly topLabel: string;
  readonly bottomLabel: string;
}

/**
 * A curve as upright bars, one column a value, in lines from the top down: the block-element bars that
 * sparklines are drawn with, several rows high. Whatever is above 0 shows at least its smallest step; what is
 * above the top edge fills the column.
 */
export function barChart(values: readonly number[], options: BarChartOptions): string[] {
  const { rows, top, ascii, topLabel, bottomLabel } = options;
  const steps = ascii ? QUARTERS : EIGHTHS;
  const perCell = steps.length - 1;
  const heights = values.map((value) => {
    if (!(value > 0) || !(top > 0)) return 0;
    return Math.min(rows * perCell, Math.max(1, Math.round((value / top) * rows * perCell)));
  });
  const width = Math.max(topLabel.length, bottomLabel.length);
  const edge = ascii ? '|' : '│';
  return Array.from({ length: rows }, (_, line) => {
    const below = (rows - 1 - line) * perCell;
    const cells = heights.map((height) => steps[Math.min(perCell, Math.max(0, height - below))]);
    const label = line === 0 ? topLabel : line === rows - 1 ? bottomLabel : '';
    return `${label.padStart(width)} ${edge}${cells.join('')}`.trimEnd();
  });
}
