import { Slot } from '../../core/observe/observed-state.ts';
import { songPosition } from '../../core/observe/song-position.ts';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText, textWidth } from '../cells/draw-text.ts';
import { cleanText } from '../format/text-cleaning.ts';
import type { Scene } from '../scene/scene.ts';
import { loopBars } from './loop-bars.ts';
import { barCell, songBar } from './position-painter.ts';

const BAR_STEPS = [1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024] as const;
const BAR_LABEL_WIDTH = 6;

/** Below the position bar: the markers at their places, or bar numbers where the song has none; and the loop. */
export function paintMarkers(grid: CellGrid, area: Area, scene: Scene): void {
  if (!scene.song.timeline || area.height === 0) return;
  if (scene.song.timeline.markers.length > 0) paintNames(grid, area, scene);
  else paintBarNumbers(grid, area, scene);
  paintLoop(grid, area, scene);
}

function paintNames(grid: CellGrid, area: Area, scene: Scene): void {
  const { song, theme } = scene;
  const { markers } = song.timeline!;
  const { x, width } = songBar(area);
  const position = songPosition(scene.observed, scene.nowMicros);
  const current = markers.findLastIndex((each) => each.micros <= position);
  let free = 0;
  for (const [index, marker] of markers.entries()) {
    const cell = barCell(marker.micros, song.durationMicros, width);
    if (cell < free) continue;
    // Room up to the next marker that stands clear of this one's sign.
    const next = markers.find((each) => barCell(each.micros, song.durationMicros, width) > cell + 1);
    const until = next ? barCell(next.micros, song.durationMicros, width) - 1 : width;
    const role = index === current ? 'selected' : index === current + 1 ? 'text' : 'label';
    const text = `${theme.glyphs.marker}${cleanText(marker.text)}`;
    drawText(grid, x + cell, area.y, text, theme.styles[role], Math.max(1, until - cell));
    free = Math.min(until, cell + textWidth(text)) + 1;
  }
}

function paintBarNumbers(grid: CellGrid, area: Area, scene: Scene): void {
  const { durationMicros } = scene.song;
  const { tempoMap, meterMap } = scene.song.timeline!;
  const { x, width } = songBar(area);
  const bars = meterMap.barBeatAt(tempoMap.tickAt(Math.max(0, durationMicros - 1))).bar;
  const step = BAR_STEPS.find((each) => (bars / each) * BAR_LABEL_WIDTH <= width) ?? BAR_STEPS.at(-1)!;
  let free = 0;
  for (let bar = 1; bar <= bars; bar += step) {
    const cell = barCell(tempoMap.microsAt(meterMap.tickOf(bar)), durationMicros, width);
    if (cell < free) continue;
    const text = String(bar);
    if (cell + text.length > width) break;
    drawText(grid, x + cell, area.y, text, scene.theme.styles.faint, width - cell);
    free = cell + text.length + 1;
  }
}

/** The loop's bars in numbers at the left, where no marker hides them. Ends not in force yet are shown too. */
function paintLoop(grid: CellGrid, area: Area, scene: Scene): void {
  const { numbers } = scene.observed;
  const { glyphs, styles } = scene.theme;
  const { x, width } = songBar(area);
  const cellOf = (micros: number): number => barCell(micros, scene.song.durationMicros, width);
  const from = numbers[Slot.loopFromMicros]!;
  const to = numbers[Slot.loopToMicros]!;
  if (to > from) {
    drawText(grid, area.x, area.y, ` ${loopBars(scene)}`, styles.loop);
    const free = loopBars(scene).length + 2 - x;
    for (let cell = Math.max(free, cellOf(from) + 1); cell < cellOf(to); cell += 1) {
      const at = area.y * grid.columns + x + cell;
      if (grid.glyph[at] === 0x20) drawText(grid, x + cell, area.y, glyphs.loopLine, styles.loop, 1);
    }
    if (cellOf(from) >= free) drawText(grid, x + cellOf(from), area.y, glyphs.loopFrom, styles.loop, 1);
    if (cellOf(to - 1) >= free) drawText(grid, x + cellOf(to - 1), area.y, glyphs.loopTo, styles.loop, 1);
    return;
  }
  const { loopFromMicros, loopToMicros } = scene.state;
  if (loopFromMicros !== undefined)
    drawText(grid, x + cellOf(loopFromMicros), area.y, glyphs.loopFrom, styles.loop, 1);
  if (loopToMicros !== undefined)
    drawText(grid, x + cellOf(loopToMicros - 1), area.y, glyphs.loopTo, styles.loop, 1);
}
