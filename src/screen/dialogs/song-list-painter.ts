import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText, textWidth } from '../cells/draw-text.ts';
import { clockText } from '../format/moment.ts';
import { tailText } from '../format/tail-text.ts';
import { cleanText } from '../format/text-cleaning.ts';
import { wrappedLines } from '../format/wrapped-lines.ts';
import type { Scene } from '../scene/scene.ts';
import type { SongChoice } from '../state/song-view.ts';
import { firstRow } from './first-row.ts';

const LENGTH_WIDTH = 7;
/** From this width titles stand beside the names. */
const TITLES_FROM = 30;
const SHORTEST_NAME = 10;

/**
 * The search as typed so far and the place in the list, and the songs that match with title, length and the check's verdict; below them
 * why the song that was chosen last does not play.
 */
export function paintSongList(grid: CellGrid, whole: Area, scene: Scene): void {
  const area = { ...whole, height: whole.height - paintRefusal(grid, whole, scene) };
  const { styles, glyphs } = scene.theme;
  const { songs, state } = scene;
  const end = area.x + area.width;
  const chosen = Math.min(state.row, songs.length - 1);
  const place = songs.length === 0 ? '' : `${chosen + 1} of ${songs.length}`;
  const searchEnd = end - place.length - 2;
  let x = area.x + 1;
  x += drawText(grid, x, area.y, 'search ', styles.label, searchEnd - x);
  const typed = tailText(cleanText(state.search), searchEnd - x - 1, glyphs.ellipsis);
  x += drawText(grid, x, area.y, typed, styles.strong);
  drawText(grid, x, area.y, '_', styles.selected);
  drawText(grid, end - place.length - 1, area.y, place, styles.label);
  const verdictWidth = area.width >= 72 ? 26 : area.width >= 56 ? 16 : 0;
  const namesWidth = area.width - 3 - LENGTH_WIDTH - (verdictWidth > 0 ? verdictWidth + 2 : 0);
  const shown = { ...songColumns(songs, namesWidth), at: area.x + 2 };
  const rows = area.height - 1;
  const first = firstRow(chosen, rows, songs.length);
  if (songs.length === 0)
    drawText(grid, area.x + 2, area.y + 1, 'no song matches', styles.label, area.width - 2);
  for (const [at, song] of songs.slice(first, first + rows).entries()) {
    const y = area.y + 1 + at;
    const isChosen = first + at === chosen;
    if (isChosen) drawText(grid, area.x, y, glyphs.cursor, styles.selected);
    const style = isChosen ? styles.selected : styles.text;
    // A song without a title has the title's room for its name.
    const nameRoom = song.title === '' ? namesWidth : shown.name;
    const name = tailText(cleanText(song.name), nameRoom, glyphs.ellipsis);
    drawText(grid, shown.at, y, name, style, nameRoom);
    const titleAt = shown.at + shown.name + 2;
    if (shown.title > 0) drawText(grid, titleAt, y, cleanText(song.title), styles.name, shown.title);
    const length = song.durationMicros === undefined ? glyphs.dot : clockText(song.durationMicros);
    drawText(grid, area.x + 3 + namesWidth, y, length.padStart(LENGTH_WIDTH - 1), styles.label, LENGTH_WIDTH);
    if (verdictWidth > 0) {
      const verdictStyle = song.good === undefined ? styles.label : song.good ? styles.good : styles.warn;
      drawText(grid, end - verdictWidth, y, cleanText(song.verdict), verdictStyle, verdictWidth);
    }
  }
}

/** Names need what the longest takes, half of the room at most where there are titles; titles have the rest. */
function songColumns(songs: readonly SongChoice[], width: number): { name: number; title: number } {
  if (width < TITLES_FROM || songs.every(({ title }) => title === '')) return { name: width, title: 0 };
  const longest = songs.reduce((most, { name }) => Math.max(most, textWidth(cleanText(name))), 0);
  const name = Math.min(Math.max(longest, SHORTEST_NAME), Math.floor(width / 2));
  return { name, title: width - name - 2 };
}

/** Returns the rows it took: half of the area at most. */
function paintRefusal(grid: CellGrid, area: Area, { state, theme }: Scene): number {
  if (state.refusal === undefined) return 0;
  const width = area.width - 2;
  const lines = wrappedLines(cleanText(state.refusal), width).slice(0, Math.floor(area.height / 2));
  const top = area.y + area.height - lines.length;
  for (const [at, line] of lines.entries()) {
    drawText(grid, area.x + 1, top + at, line, theme.styles.bad, width);
  }
  return lines.length;
}
