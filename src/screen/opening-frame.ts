import { createObservedState } from '../core/observe/create-observed-state.ts';
import type { Player } from '../engine/run/player.ts';
import type { CellGrid } from './cells/cell-grid.ts';
import { drawText } from './cells/draw-text.ts';
import { SceneMaker } from './scene/scene-maker.ts';
import { screenParts } from './screen-parts.ts';
import { ScreenStore } from './state/screen-store.ts';
import type { SongView } from './state/song-view.ts';
import type { Frame } from './terminal/frame.ts';
import { type ThemeChoice, themeOf } from './theme/theme.ts';

type SeenPlayer = Pick<Player, 'observed' | 'nowMicros'>;

const NOTHING_YET: SeenPlayer = { observed: createObservedState(), nowMicros: () => 0 };

/**
 * The screen of a song that does not play yet, painted without Ink: loading that takes longer than all before it.
 * `player` is one that plays elsewhere already. Cell for cell what `App` shows of the same song, so that the first frame of Ink's changes nothing.
 */
export function openingFrame(
  song: SongView,
  choice: ThemeChoice,
  player: SeenPlayer = NOTHING_YET,
  isLarge = false,
): Frame {
  const theme = themeOf(choice);
  const scenes = new SceneMaker({
    player,
    song,
    songs: () => [],
    store: new ScreenStore(),
    theme,
  });
  return {
    compose(grid: CellGrid): void {
      grid.clip();
      grid.clear();
      const scene = scenes.scene();
      for (const part of screenParts(grid.columns, grid.rows, song, theme, isLarge)) {
        const { area } = part;
        grid.clip(area);
        if ('paint' in part) part.paint(grid, area, scene);
        else drawText(grid, area.x, area.y, part.text, part.style, area.width);
      }
      grid.clip();
    },
    resize() {},
  };
}
