import { faultsSince } from '../../core/observe/listen-state.ts';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { clockText } from '../format/moment.ts';
import { faultText } from '../listen/fault-text.ts';
import type { Scene } from '../scene/scene.ts';

/** What was done, the latest first: run time, bar and beat, what; when listening, the stream's faults below. */
export function paintLog(grid: CellGrid, area: Area, scene: Scene): void {
  const { styles } = scene.theme;
  const { log, row } = scene.state;
  const faults = scene.listen ? faultsSince(scene.listen, 0).reverse() : [];
  if (log.length === 0 && faults.length === 0) {
    drawText(grid, area.x + 1, area.y + 1, 'Nothing so far.', styles.label, area.width - 1);
    return;
  }
  const first = Math.max(0, Math.min(row, log.length + faults.length - area.height));
  const lines = log.toReversed().slice(first, first + area.height);
  for (const [at, fault] of faults.slice(Math.max(0, first - log.length)).entries()) {
    const y = area.y + lines.length + at;
    if (y >= area.y + area.height) break;
    drawText(grid, area.x + 1, y, faultText(fault), styles.warn, area.width - 1);
  }
  for (const [at, line] of lines.entries()) {
    const y = area.y + at;
    drawText(grid, area.x, y, clockText(line.atMicros).padStart(7), styles.label, 7);
    drawText(grid, area.x + 9, y, line.where, styles.label, 8);
    drawText(grid, area.x + 18, y, line.text, styles.text, Math.max(0, area.width - 18));
  }
}
