import { songPosition } from '../../core/observe/song-position.ts';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import type { Scene } from '../scene/scene.ts';

/** A line appears this long before its first syllable. */
const LEAD_MICROS = 2_000_000;

/** The line being sung: what has been sung stands out from what is still to come. */
export function paintLyrics(grid: CellGrid, area: Area, scene: Scene): void {
  const position = songPosition(scene.observed, scene.nowMicros);
  const line = scene.lyricLines.findLast((each) => each.fromMicros <= position + LEAD_MICROS);
  if (!line) return;
  const { lyric, lyricRest } = scene.theme.styles;
  let x = area.x + 1;
  for (const syllable of line.syllables) {
    const style = syllable.micros <= position ? lyric : lyricRest;
    x += drawText(grid, x, area.y, syllable.text, style, Math.max(0, area.x + area.width - x));
  }
}
