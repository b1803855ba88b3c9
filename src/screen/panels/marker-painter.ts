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

/** What stands in each cell below the bar; a text takes the blank after it too, so that no line runs into it. */
const BLANK = 0;
const LOOP = 1;
const TEXT = 2;

/** A name that an end of the loop would cut stands behind it, if it need not move on by more cells than this. */
const MOVES_AT_MOST = 4;

/**
 * Below the position bar: the markers at their places, or bar numbers where the song has none; and the loop, whose
 * ends keep their cells: what would stand there moves on, or is cut before them.
 */
export function paintMarkers(grid: CellGrid, area: Area, scene: Scene): void {
  if (!scene.song.timeline || area.height === 0) return;
  const cells = new Uint8Array(songBar(area).width);
  const loop = paintLoopEnds(grid, area, scene, cells);
  if (scene.song.timeline.markers.length > 0) paintNames(grid, area, scene, cells);
  else paintBarNumbers(grid, area, scene, cells);
  if (loop) paintLoopLine(grid, area, scene, cells, loop);
}

function paintNames(grid: CellGrid, area: Area, scene: Scene, cells: Uint8Array): void {
  const { song, theme } = scene;
  const { markers } = song.timeline!;
  const { x, width } = songBar(area);
  const position = songPosition(scene.observed, scene.nowMicros);
  const current = markers.findLastIndex((each) => each.micros <= position);
  let free = 0;
  for (const [index, marker] of markers.entries()) {
    const name = cleanText(marker.text);
    const cell = clearOfLoop(cells, barCell(marker.micros, song.durationMicros, width), 1 + textWidth(name));
    if (cell < free || cell >= width) continue;
    // Room up to the next marker that stands clear of this one's sign.
    const next = markers.find((each) => barCell(each.micros, song.durationMicros, width) > cell + 1);
    const until = next ? barCell(next.micros, song.durationMicros, width) - 1 : width;
    const room = Math.max(1, Math.min(until, loopAfter(cells, cell)) - cell);
    const role = index === current ? 'selected' : index === current + 1 ? 'text' : 'label';
    const text = `${theme.glyphs.marker}${room > 1 ? name : ''}`;
    const used = drawText(grid, x + cell, area.y, text, theme.styles[role], room);
    take(cells, cell, used);
    free = cell + used + (used < textWidth(text) ? 0 : 1);
  }
}

function paintBarNumbers(grid: CellGrid, area: Area, scene: Scene, cells: Uint8Array): void {
  const { durationMicros } = scene.song;
  const { tempoMap, meterMap } = scene.song.timeline!;
  const { x, width } = songBar(area);
  const bars = meterMap.barBeatAt(tempoMap.tickAt(Math.max(0, durationMicros - 1))).bar;
  const step = BAR_STEPS.find((each) => (bars / each) * BAR_LABEL_WIDTH <= width) ?? BAR_STEPS.at(-1)!;
  let free = 0;
  for (let bar = 1; bar <= bars; bar += step) {
    const cell = besideLoop(cells, barCell(tempoMap.microsAt(meterMap.tickOf(bar)), durationMicros, width));
    const text = String(bar);
    if (cell < free || cell + text.length > loopAfter(cells, cell)) continue;
    take(cells, cell, drawText(grid, x + cell, area.y, text, scene.theme.styles.faint));
    free = cell + text.length + 1;
  }
}

/** The cell itself, or the first after it that the loop leaves. */
function besideLoop(cells: Uint8Array, cell: number): number {
  let at = cell;
  while (cells[at] === LOOP) at += 1;
  return at;
}

/** The first cell that the loop leaves where a text of so many columns is not cut by it, if that is near enough. */
function clearOfLoop(cells: Uint8Array, place: number, columns: number): number {
  const cell = besideLoop(cells, place);
  const end = loopAfter(cells, cell);
  if (end - cell >= columns || end === cells.length) return cell;
  const behind = besideLoop(cells, end);
  return behind - cell <= MOVES_AT_MOST && behind < cells.length ? behind : cell;
}

/** The next cell that the loop takes, or the end of the bar. */
function loopAfter(cells: Uint8Array, cell: number): number {
  const at = cells.indexOf(LOOP, cell);
  return at < 0 ? cells.length : at;
}

function take(cells: Uint8Array, cell: number, width: number): void {
  for (let at = cell; at <= cell + width && at < cells.length; at += 1) {
    if (cells[at] === BLANK) cells[at] = TEXT;
  }
}

/** First and last cell of a loop in force. */
interface LoopCells {
  readonly from: number;
  readonly to: number;
}

/** The loop's bars in numbers at the left, and its ends; those of a loop that is not in force yet are shown too. */
function paintLoopEnds(grid: CellGrid, area: Area, scene: Scene, cells: Uint8Array): LoopCells | undefined {
  const { numbers } = scene.observed;
  const { glyphs, styles } = scene.theme;
  const { x, width } = songBar(area);
  const cellOf = (micros: number): number => barCell(micros, scene.song.durationMicros, width);
  const put = (cell: number, sign: string): void => {
    drawText(grid, x + cell, area.y, sign, styles.loop, 1);
    cells[cell] = LOOP;
  };
  const fromMicros = numbers[Slot.loopFromMicros]!;
  const toMicros = numbers[Slot.loopToMicros]!;
  if (toMicros > fromMicros) {
    const bars = ` ${loopBars(scene)} `;
    drawText(grid, area.x, area.y, bars, styles.loop);
    const free = Math.max(0, bars.length - (x - area.x));
    cells.fill(LOOP, 0, free);
    // Two signs need two cells, however short the loop is.
    const from = Math.min(width - 2, Math.max(free, cellOf(fromMicros)));
    const to = Math.max(from + 1, cellOf(toMicros - 1));
    put(from, glyphs.loopFrom);
    put(to, glyphs.loopTo);
    return { from, to };
  }
  const { loopFromMicros, loopToMicros } = scene.state;
  if (loopFromMicros !== undefined) put(cellOf(loopFromMicros), glyphs.loopFrom);
  if (loopToMicros !== undefined) put(cellOf(loopToMicros - 1), glyphs.loopTo);
  return undefined;
}

function paintLoopLine(
  grid: CellGrid,
  area: Area,
  scene: Scene,
  cells: Uint8Array,
  { from, to }: LoopCells,
): void {
  const { x } = songBar(area);
  for (let cell = from + 1; cell < to; cell += 1) {
    if (cells[cell] === BLANK)
      drawText(grid, x + cell, area.y, scene.theme.glyphs.loopLine, scene.theme.styles.loop, 1);
  }
}
