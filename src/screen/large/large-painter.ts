import { followedClock } from '../../core/observe/followed-clock.ts';
import { Slot } from '../../core/observe/observed-state.ts';
import { songPosition, transportState } from '../../core/observe/song-position.ts';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { clockText } from '../format/moment.ts';
import { cleanText } from '../format/text-cleaning.ts';
import type { Scene } from '../scene/scene.ts';
import { largeRows } from './draw-large.ts';
import { drawLines, largeLines, rowsOf, scaleFor } from './large-lines.ts';

/** What somebody two metres away wants to know: which song, how long still, and what comes next. */
export function paintLarge(grid: CellGrid, area: Area, scene: Scene): void {
  const { song, theme } = scene;
  const { styles } = theme;
  const scale = scaleFor(area, theme.glyphs.braille);
  const letter = largeRows(scale);
  const next = song.turn?.next === undefined ? '' : cleanText(song.turn.next).replace(/\.midi?$/i, '');
  drawText(grid, area.x + 1, area.y, song.turn?.words ?? '', styles.label, area.width - 2);
  const time = largeLines(timeLeft(scene), letter, area, scale);
  // The words above, a rest between title and time, and what comes next, at least in a line of its own.
  const forTitle = area.height - 1 - 1 - rowsOf(time, scale) - (next === '' ? 0 : 2);
  const mostTitle = next === '' || forTitle < 2 * letter ? forTitle : Math.min(forTitle, 2 * letter);
  const title = largeLines(cleanText(song.title) || cleanText(song.fileName), mostTitle, area, scale);
  const forNext = forTitle - rowsOf(title, scale);
  const after = next === '' ? [] : largeLines(next, Math.min(forNext, letter), area, scale);
  const used = 2 + rowsOf(title, scale) + rowsOf(time, scale) + (next === '' ? 0 : 2 + rowsOf(after, scale));
  let y = 1 + Math.max(0, Math.floor((area.height - used) / 3));
  y = drawLines(grid, area, y, title, styles.strong, scale);
  y = drawLines(grid, area, y + 1, time, styles.good, scale);
  if (next === '' || y + 1 >= area.height) return;
  const isLarge = after[0]!.isLarge;
  drawText(grid, area.x + 1, area.y + y + (isLarge ? 0 : 1), 'next', styles.label, area.width - 2);
  if (isLarge) drawLines(grid, area, y + 1, after, styles.name, scale);
  else drawText(grid, area.x + 6, area.y + y + 1, next, styles.name, area.width - 7);
}

/** Real time to the end at the tempo in force; or why none passes. */
function timeLeft({ observed, song, nowMicros }: Scene): string {
  const state = transportState(observed);
  const followed = followedClock(observed, nowMicros);
  if (followed?.state === 'armed' || (followed?.state === 'waits' && state !== 'ended')) {
    return followed.isOut ? 'paused' : 'waits';
  }
  if (state !== 'playing') return state;
  const left = Math.max(0, song.durationMicros - Math.max(0, songPosition(observed, nowMicros)));
  return `-${clockText(left / (observed.numbers[Slot.tempoScale] || 1))}`;
}
