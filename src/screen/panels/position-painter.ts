import { songPosition } from '../../core/observe/song-position.ts';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { clockText } from '../format/moment.ts';
import type { Scene } from '../scene/scene.ts';
import { loadHeight, loadsAcross } from '../scene/wire-load.ts';
import { plannedLoad } from '../state/planned-load.ts';
import type { Role } from '../theme/roles.ts';

const CLOCK_WIDTH = 7;
const HIGH_LOAD = 0.7;
const FULL_LOAD = 0.95;

/** The bar's cells: between the two clocks. The marker line below shares them. */
export function songBar(area: Area): { readonly x: number; readonly width: number } {
  return { x: area.x + CLOCK_WIDTH, width: Math.max(1, area.width - 2 * CLOCK_WIDTH) };
}

/** The cell of the bar in which a song time lies. */
export function barCell(songMicros: number, durationMicros: number, width: number): number {
  if (durationMicros <= 0) return 0;
  return Math.min(width - 1, Math.max(0, Math.floor((songMicros / durationMicros) * width)));
}

/**
 * The whole song from left to right as the load its plan puts on the wire, of what is heard (a full column is a full
 * wire), what has been played in another colour, and the place where it is now. At the left the time played, at
 * the right the time to go, both in song time: as they are at the tempo that is written.
 */
export function paintPosition(grid: CellGrid, area: Area, scene: Scene): void {
  const { song, observed, theme, nowMicros } = scene;
  const { styles, glyphs } = theme;
  const position = Math.max(0, songPosition(observed, nowMicros));
  const { x, width } = songBar(area);
  const low = area.y + area.height - 1;
  const left = Math.max(0, song.durationMicros - position);
  drawText(grid, area.x, low, clockText(position).padStart(CLOCK_WIDTH - 1), styles.text);
  if (song.durationMicros <= 0) return;
  drawText(grid, x + width + 1, low, `-${clockText(left)}`, styles.label);
  const here = barCell(position, song.durationMicros, width);
  const steps = glyphs.heights.length - 1;
  const loads = loadsAcross(plannedLoad(song, observed), song.durationMicros, width);
  for (let cell = 0; cell < width; cell += 1) {
    const load = loads[cell]!;
    const filled = Math.max(1, Math.round(loadHeight(load) * steps * area.height));
    const style = styles[roleFor(load, cell < here)];
    for (let row = 0; row < area.height; row += 1) {
      const part = Math.min(steps, Math.max(0, filled - row * steps));
      grid.set(x + cell, low - row, glyphs.heights[part]!.codePointAt(0)!, style);
    }
  }
  for (let row = 0; row < area.height; row += 1) {
    grid.set(x + here, low - row, glyphs.playhead.codePointAt(0)!, styles.playhead);
  }
}

function roleFor(load: number, played: boolean): Role {
  if (load >= FULL_LOAD) return 'bad';
  if (load >= HIGH_LOAD) return 'warn';
  return played ? 'played' : 'ahead';
}
