import { createObservedState } from '../../src/core/observe/create-observed-state.ts';
import type { ObservedState } from '../../src/core/observe/observed-state.ts';
import type { Area } from '../../src/screen/cells/area.ts';
import { CellGrid } from '../../src/screen/cells/cell-grid.ts';
import { gridText } from '../../src/screen/cells/grid-text.ts';
import type { Scene } from '../../src/screen/scene/scene.ts';
import { backlogMicros, wireFigures } from '../../src/screen/scene/wire-load.ts';
import { FIRST_STATE } from '../../src/screen/state/screen-state.ts';
import { themeOf } from '../../src/screen/theme/theme.ts';
import { screenSong } from './screen-song.ts';

/** A scene in which nothing has happened, changed by what is given. */
export function sceneWith(parts: Partial<Scene> = {}): Scene {
  const { observed = createObservedState(), song = screenSong(), nowMicros = 0 } = parts;
  return {
    observed,
    song,
    listen: undefined,
    against: undefined,
    state: FIRST_STATE,
    theme: themeOf({ palette: '256-dark', ascii: false }),
    nowMicros,
    wire: wireFigures(observed, song, nowMicros, backlogMicros(observed, nowMicros)),
    stuck: [],
    songs: [],
    scroll: { lastRow: 0 },
    lyricLines: [],
    heldBackAtMicros: new Float64Array(16).fill(-1),
    voices: undefined,
    ...parts,
  };
}

/** A channel on which something was sent at run time `atMicros`. */
export function touch(observed: ObservedState, channel: number, atMicros: number): void {
  observed.messages[channel] = 1;
  observed.lastActivityMicros[channel] = atMicros;
}

/** Paints onto a fresh grid. */
export function painted(
  width: number,
  height: number,
  paint: (grid: CellGrid, area: Area) => void,
): { readonly grid: CellGrid; readonly lines: string[] } {
  const grid = new CellGrid(width, height);
  paint(grid, { x: 0, y: 0, width, height });
  return { grid, lines: gridText(grid).split('\n') };
}
