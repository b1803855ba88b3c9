import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { cleanText } from '../format/text-cleaning.ts';
import { wrappedLines } from '../format/wrapped-lines.ts';
import type { Frame } from '../terminal/frame.ts';
import { type ThemeChoice, themeOf } from '../theme/theme.ts';
import { drawLines, type Line, largeLines, rowsOf, scaleFor } from './large-lines.ts';

/** A screen with nothing on it but some words and, below, the keys that count. */
export function wordsFrame(words: () => string, hint: string, choice: ThemeChoice, isLarge = false): Frame {
  const { styles, glyphs } = themeOf(choice);
  return {
    compose(grid: CellGrid): void {
      grid.clip();
      grid.clear();
      const area = { x: 0, y: 0, width: grid.columns, height: Math.max(0, grid.rows - 1) };
      const scale = scaleFor(area, glyphs.braille);
      const text = cleanText(words());
      const ordinary = (): Line[] =>
        wrappedLines(text, area.width - 2).map((line) => ({ text: line, isLarge: false }));
      const large = isLarge ? largeLines(text, area.height, area, scale) : [];
      const lines = large[0]?.isLarge ? large : ordinary();
      const top = Math.max(0, Math.floor((area.height - rowsOf(lines, scale)) / 2));
      drawLines(grid, area, top, lines, styles.strong, scale);
      drawText(grid, 1, grid.rows - 1, hint.trim(), styles.label, grid.columns - 1);
    },
    resize() {},
  };
}
