import { PortTrouble } from '../../core/observe/port-state.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { percentText } from '../format/moment.ts';
import type { Scene } from '../scene/scene.ts';
import { portTrouble } from '../state/troubled-ports.ts';
import type { Role } from '../theme/roles.ts';
import { paintGauge } from './gauge.ts';
import { loadRole } from './load-role.ts';

/** One output's wire as it is shown: `a  79%`, or what is wrong with it. */
interface WireCell {
  readonly name: string;
  readonly text: string;
  readonly role: Role;
  readonly load: number;
}

/** Columns of `100%`, and of the words that stand for it. */
const VALUE_WIDTH = 4;
const SMALLEST_GAUGE = 3;
const LARGEST_GAUGE = 10;
/** Names are cut to these lengths in turn until all wires fit side by side. */
const NAME_LENGTHS = [16, 4, 2, 1] as const;

/**
 * Each output's wire: name, gauge where there is room, share of it used. Where not all fit, the one that most
 * wants looking at.
 * @returns columns used
 */
export function paintWirePorts(grid: CellGrid, x: number, y: number, width: number, scene: Scene): number {
  const cells = (scene.song.ports ?? []).map(({ name }, index) => wireCell(scene, name, index));
  const fitting = NAME_LENGTHS.map((length) => cells.map(({ name }) => name.slice(0, length))).find(
    (names) => new Set(names).size === names.length && widthOf(names) <= width,
  );
  if (fitting) {
    const spare = Math.floor((width - widthOf(fitting)) / cells.length) - 1;
    return paintCells(grid, x, y, cells, fitting, spare, scene);
  }
  const worst = cells.reduce((most, cell) => (urgency(cell) > urgency(most) ? cell : most), cells[0]!);
  const name = worst.name.slice(0, Math.max(1, width - VALUE_WIDTH - 1));
  return paintCells(grid, x, y, [worst], [name], width - widthOf([name]) - 1, scene);
}

function paintCells(
  grid: CellGrid,
  from: number,
  y: number,
  cells: readonly WireCell[],
  names: readonly string[],
  spare: number,
  scene: Scene,
): number {
  const { styles, glyphs } = scene.theme;
  const gauge = spare < SMALLEST_GAUGE ? 0 : Math.min(spare, LARGEST_GAUGE);
  let x = from;
  for (const [index, { text, role, load }] of cells.entries()) {
    if (index > 0) x += 1;
    const name = names[index]!;
    drawText(grid, x, y, name, styles.label, name.length);
    x += name.length + 1;
    if (gauge > 0) {
      paintGauge(grid, x, y, gauge, load, styles[role], glyphs.fills);
      x += gauge + 1;
    }
    drawText(grid, x, y, text.padStart(VALUE_WIDTH), styles[role], VALUE_WIDTH);
    x += VALUE_WIDTH;
  }
  return x - from;
}

function wireCell({ observed, wire }: Scene, name: string, index: number): WireCell {
  const load = wire.ports[index] ?? 0;
  const trouble = portTrouble(observed, index);
  if (trouble === PortTrouble.lost) return { name, text: 'gone', role: 'bad', load: 0 };
  if (trouble === PortTrouble.heldUp) return { name, text: 'full', role: 'warn', load };
  return { name, text: percentText(load), role: loadRole(load), load };
}

/** A wire that is gone first, then one that takes nothing, then the fullest. */
function urgency({ text, load }: WireCell): number {
  return text === 'gone' ? 3 : text === 'full' ? 2 : Math.min(1, load);
}

function widthOf(names: readonly string[]): number {
  return names.reduce((sum, name) => sum + name.length + 1 + VALUE_WIDTH, names.length - 1);
}
