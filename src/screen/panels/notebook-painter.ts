import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { paintLaneDetail } from '../dialogs/lane-detail-painter.ts';
import { paintStuckList } from '../dialogs/stuck-painter.ts';
import type { Scene } from '../scene/scene.ts';

const WIDE = 110;
const STUCK_WIDTH = 46;

/** Room to spare on tall screens: the chosen lane in detail, and on wide ones the stuck notes beside it. */
export function paintNotebook(grid: CellGrid, area: Area, scene: Scene): void {
  if (area.height === 0) return;
  const { styles, glyphs } = scene.theme;
  drawText(grid, area.x, area.y, glyphs.rule.repeat(area.width), styles.faint, area.width);
  drawText(grid, area.x + 2, area.y, ` channel ${scene.state.lane + 1} `, styles.name);
  const inside = { ...area, y: area.y + 1, height: area.height - 1 };
  if (area.width < WIDE) {
    paintLaneDetail(grid, inside, scene);
    return;
  }
  const split = area.width - STUCK_WIDTH;
  paintLaneDetail(grid, { ...inside, width: split - 1 }, scene);
  drawText(grid, area.x + split + 1, area.y, ' stuck ', styles.name);
  paintStuckList(grid, { ...inside, x: area.x + split, width: STUCK_WIDTH }, scene);
}
