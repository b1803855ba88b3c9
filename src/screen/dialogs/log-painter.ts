import { faultsSince } from '../../core/observe/listen-state.ts';
import { counted } from '../../core/report/figure-text.ts';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { clockText } from '../format/moment.ts';
import { wrappedLines } from '../format/wrapped-lines.ts';
import { faultText } from '../listen/fault-text.ts';
import type { Scene } from '../scene/scene.ts';
import type { LogLine } from '../state/screen-state.ts';

/** What was done, the latest first: run time, bar and beat, what; when listening, the stream's faults below. */
export function paintLog(grid: CellGrid, area: Area, scene: Scene): void {
  const { styles } = scene.theme;
  const { log, row } = scene.state;
  const faults = scene.listen ? faultsSince(scene.listen, 0).reverse() : [];
  if (log.length === 0 && faults.length === 0) {
    drawText(grid, area.x + 1, area.y + 1, 'Nothing so far.', styles.label, area.width - 1);
    return;
  }
  const lines = [
    ...log.toReversed().flatMap((line) => rowsOf(line, area.width - TEXT_AT)),
    ...faults.map((fault) => ({ when: '', where: '', text: faultText(fault), isFault: true })),
  ];
  const rows = lines.length > area.height ? area.height - 1 : area.height;
  const lastRow = Math.max(0, lines.length - rows);
  scene.scroll.lastRow = lastRow;
  const first = Math.min(row, lastRow);
  for (const [at, line] of lines.slice(first, first + rows).entries()) {
    const y = area.y + at;
    if (line.isFault) {
      drawText(grid, area.x + 1, y, line.text, styles.warn, area.width - 1);
      continue;
    }
    drawText(grid, area.x, y, line.when.padStart(TEXT_AT - 11), styles.label);
    drawText(grid, area.x + TEXT_AT - 9, y, line.where, styles.label, 8);
    drawText(grid, area.x + TEXT_AT, y, line.text, styles.text, area.width - TEXT_AT);
  }
  const below = lastRow - first;
  if (below > 0) {
    drawText(
      grid,
      area.x + 1,
      area.y + rows,
      `more below: ${counted(below, 'line')}`,
      styles.label,
      area.width - 1,
    );
  }
}

/** Column of the words; run time and bar stand before them. */
const TEXT_AT = 18;

/** A line that is too long goes on in rows without a time. */
function rowsOf({ atMicros, where, text }: LogLine, width: number) {
  return wrappedLines(text, width).map((part, at) => ({
    when: at === 0 ? clockText(atMicros) : '',
    where: at === 0 ? where : '',
    text: part,
    isFault: false,
  }));
}
