import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { dialogArea } from '../dialogs/dialog-area.ts';
import { keyHint } from '../keys/key-hint.ts';
import { keyModeOf } from '../keys/key-mode.ts';
import { laneName } from '../lanes/lane-name.ts';
import type { Layout } from '../scene/layout.ts';
import type { Scene } from '../scene/scene.ts';
import { loopBars } from './loop-bars.ts';
import { messageOf, paintMessage, wordOf } from './message-painter.ts';

/**
 * The bottom line: the keys that work now. Where the line that speaks has no room, or the open dialog covers it,
 * what is to be said stands here: below a dialog only words that pass, lest they hide its keys for good.
 */
export function paintHint(grid: CellGrid, area: Area, scene: Scene, layout: Layout): void {
  const { dialog } = scene.state;
  const message = isMessageSeen(layout, scene)
    ? undefined
    : dialog === 'none'
      ? messageOf(scene)
      : wordOf(scene);
  const isSmall = dialog === 'none' && layout.markers.height === 0;
  const loop = isSmall ? loopBars(scene) : '';
  const looped = loop === '' ? '' : `loop ${loop} `;
  const rest = area.width - looped.length;
  if (message !== undefined) {
    // What hangs may be said for as long as the song lasts: the loop stands before it.
    const used = drawText(grid, area.x + 1, area.y, looped, scene.theme.styles.loop);
    paintMessage(grid, { ...area, x: area.x + used, width: rest }, scene, message);
    return;
  }
  let x = area.x;
  if (dialog === 'none' && layout.message.height === 0) x += paintChosen(grid, area.x, area.y, rest, scene);
  x += drawText(grid, x, area.y, looped, scene.theme.styles.loop);
  const width = area.x + area.width - x;
  const hint = keyHint(width, keyModeOf(scene.song), dialog);
  drawText(grid, x, area.y, hint, scene.theme.styles.label, width);
}

/** On the smallest screens, which have no room for lane names, the chosen one stands before the keys. */
function paintChosen(grid: CellGrid, x: number, y: number, width: number, scene: Scene): number {
  const { lane } = scene.state;
  const { orchestra, wishes } = scene.song;
  const name = laneName(scene.observed, lane, orchestra[lane]!, wishes) || 'nothing sent';
  return drawText(grid, x, y, ` ${lane + 1} ${name} `, scene.theme.styles.name, width);
}

function isMessageSeen(layout: Layout, { state: { dialog } }: Scene): boolean {
  const { message } = layout;
  if (message.height === 0 || dialog === 'none') return message.height > 0;
  const { y, height } = dialogArea(layout, dialog);
  return y + height <= message.y;
}
