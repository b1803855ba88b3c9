import { keyName } from '../../core/midi/key-names.ts';
import { type StuckNote, stuckCauseText } from '../../core/observe/stuck-notes.ts';
import { chosenStuckNote } from '../actions/silence-actions.ts';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { ageText, barBeatText } from '../format/moment.ts';
import type { Scene } from '../scene/scene.ts';
import { firstRow } from './first-row.ts';

/** The stuck notes, the surest first; what only a pedal holds stands apart below. */
export function paintStuckList(grid: CellGrid, area: Area, scene: Scene): void {
  const { styles, glyphs } = scene.theme;
  const end = area.x + area.width;
  const put = (x: number, y: number, text: string, style: number): void => {
    drawText(grid, x, y, text, style, Math.max(0, end - x));
  };
  const { stuck } = scene;
  if (stuck.length === 0) {
    put(area.x + 1, area.y + 1, 'Nothing hangs.', styles.good);
    const seconds = Math.round(scene.state.longMicros / 1_000_000);
    put(area.x + 1, area.y + 2, `A note counts as stuck after ${seconds} s, or once the song`, styles.label);
    put(area.x + 1, area.y + 3, 'says that it ought to have ended.', styles.label);
    return;
  }
  const roomy = area.width >= 60;
  const chosen = chosenStuckNote(scene);
  put(area.x + 2, area.y, roomy ? 'note  ch  sounds     began at  why' : 'note  ch  sounds', styles.label);
  const lines = listLines(stuck);
  const rows = area.height - 1;
  const first = firstRow(chosen ? lines.indexOf(chosen) : 0, rows, lines.length);
  for (const [at, line] of lines.slice(first, first + rows).entries()) {
    const y = area.y + 1 + at;
    if (typeof line === 'string') {
      put(area.x + 1, y, line, styles.label);
      continue;
    }
    const style = line === chosen ? styles.selected : styles.text;
    if (line === chosen) put(area.x, y, glyphs.cursor, styles.selected);
    put(area.x + 2, y, keyName(line.key), style);
    put(area.x + 8, y, String(line.channel + 1).padStart(2), style);
    put(area.x + 12, y, ageText(line.ageMicros), style);
    if (roomy) {
      put(area.x + 23, y, barBeatText(scene.song.timeline, line.beganSongMicros), style);
      put(area.x + 33, y, stuckCauseText(line), style);
    } else put(area.x + 20, y, stuckCauseText(line), style);
  }
}

function listLines(stuck: readonly StuckNote[]): (StuckNote | string)[] {
  const held = stuck.filter((note) => note.cause === 'held-by-pedal');
  const certain = stuck.filter((note) => note.cause !== 'held-by-pedal');
  return held.length === 0 ? certain : [...certain, 'held by the pedal alone', ...held];
}
