import type { CellGrid } from './cells/cell-grid.ts';
import { drawText } from './cells/draw-text.ts';
import { cleanText } from './format/text-cleaning.ts';
import { wrappedLines } from './format/wrapped-lines.ts';
import type { Frame } from './terminal/frame.ts';
import { type ThemeChoice, themeOf } from './theme/theme.ts';

/** A screen with nothing on it but some words and, below, the keys that count. */
export function wordsFrame(words: () => string, hint: string, choice: ThemeChoice): Frame {
  const { styles } = themeOf(choice);
  return {
    compose(grid: CellGrid): void {
      grid.clip();
      grid.clear();
      const lines = wrappedLines(cleanText(words()), grid.columns - 2).slice(0, Math.max(0, grid.rows - 2));
      const top = Math.max(0, Math.floor((grid.rows - 1 - lines.length) / 2));
      for (const [y, line] of lines.entries())
        drawText(grid, 1, top + y, line, styles.strong, grid.columns - 1);
      drawText(grid, 1, grid.rows - 1, hint, styles.label, grid.columns - 1);
    },
    resize() {},
  };
}
