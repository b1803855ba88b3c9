import { Heard, type ListenState } from '../../core/observe/listen-state.ts';
import { Slot } from '../../core/observe/observed-state.ts';
import { PortSlot } from '../../core/observe/port-state.ts';
import { songPosition } from '../../core/observe/song-position.ts';
import { HEARD_MICROS } from '../../core/wire/onset-lateness.ts';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { barBeatText, millisText, percentText } from '../format/moment.ts';
import type { Scene } from '../scene/scene.ts';
import { highestLoad, loadHeight } from '../scene/wire-load.ts';
import { plannedLoad } from '../state/planned-load.ts';
import { plannedOnset } from '../state/planned-onset.ts';
import type { Role } from '../theme/roles.ts';
import { paintGauge } from './gauge.ts';
import { loadRole } from './load-role.ts';
import { paintWirePorts } from './wire-ports-painter.ts';

const AHEAD_MICROS = 8_000_000;
/** Columns of a share in per cent, a space before it. */
const PERCENT_WIDTH = 5;
/** What the curve of the plan ahead gives up for several wires: half of it is left at 80 columns. */
const AHEAD_GIVES = 6;
/** A hand-over later than one byte of the MIDI wire takes is told in colour. */
const BYTE_MICROS = 320;

interface Figure {
  readonly label: string;
  readonly text: string;
  readonly role: Role;
  readonly width: number;
}

/** The wire: how full it is, was at most, and will be; what waits; how late onsets came. */
export function paintWire(grid: CellGrid, area: Area, scene: Scene): void {
  if (area.height === 0) return;
  const end = area.x + area.width;
  let x = area.x + 1;
  const { styles, glyphs } = scene.theme;
  const roomy = area.width >= 72;
  x += drawText(grid, x, area.y, 'wire ', styles.label, end - x);
  const { load } = scene.wire;
  const gaugeWidth = roomy ? Math.min(24, 10 + Math.floor((area.width - 80) / 4)) : 8;
  if (scene.song.ports) {
    const more = roomy ? AHEAD_GIVES : 0;
    x += paintWirePorts(grid, x, area.y, gaugeWidth + PERCENT_WIDTH + more, scene);
  } else {
    paintGauge(grid, x, area.y, gaugeWidth, load, styles[loadRole(load)], glyphs.fills);
    x += gaugeWidth;
    const text = percentText(load).padStart(PERCENT_WIDTH);
    x += drawText(grid, x, area.y, text, styles[loadRole(load)], end - x);
  }
  x = paintFigures(grid, x + 2, area.y, end, scene, roomy ? loadFigures(scene) : [backlogFigure(scene)]);
  if (roomy && scene.song.timeline) {
    x += drawText(grid, x, area.y, 'ahead ', styles.label, end - x);
    paintAhead(grid, x, area.y, Math.min(24, end - x - 1), scene);
  }
  if (area.height < 2) return;
  const figures = scene.listen ? passedOnFigures(scene.listen) : latenessFigures(scene);
  paintFigures(grid, area.x + 1, area.y + 1, end, scene, figures);
}

function paintFigures(
  grid: CellGrid,
  from: number,
  y: number,
  end: number,
  scene: Scene,
  figures: readonly Figure[],
): number {
  const { styles } = scene.theme;
  let x = from;
  for (const { label, text, role, width } of figures) {
    if (x + label.length + 1 + text.length > end) break;
    drawText(grid, x, y, label, styles.label, end - x);
    drawText(grid, x + label.length + 1, y, text, styles[role], end - x);
    x += Math.max(width, label.length + 1 + text.length) + 2;
  }
  return x;
}

function loadFigures(scene: Scene): Figure[] {
  const peak = peakOf(scene);
  const peakFigure: Figure = { label: 'peak', text: percentText(peak), role: loadRole(peak), width: 9 };
  if (!scene.song.timeline) return [peakFigure, backlogFigure(scene)];
  return [
    { label: 'plan', text: percentText(scene.wire.planned), role: 'label', width: 9 },
    peakFigure,
    backlogFigure(scene),
  ];
}

/** Of several wires the highest: a full one beside an idle one is full. */
function peakOf({ observed, song }: Scene): number {
  if (!song.ports) return observed.numbers[Slot.peakLoad]!;
  return Math.max(...song.ports.map((_, index) => observed.ports[index]!.numbers[PortSlot.peakLoad]!));
}

function backlogFigure(scene: Scene): Figure {
  const backlog = scene.wire.backlogMicros;
  return {
    label: 'backlog',
    text: `${millisText(backlog)} ms`,
    role: backlog > HEARD_MICROS ? 'bad' : 'text',
    width: 15,
  };
}

/** Lateness so far and where; what went wrong stands only when something has. */
function latenessFigures(scene: Scene): Figure[] {
  const { numbers } = scene.observed;
  const worst = numbers[Slot.worstOnsetLatenessMicros]!;
  const where = barBeatText(scene.song.timeline, worst > 0 ? numbers[Slot.worstOnsetSongMicros]! : -1);
  const figures: Figure[] = [
    {
      label: 'worst onset',
      text: `${millisText(worst)} ms${where === '-' ? '' : ` at ${where}`}`,
      role: worst > HEARD_MICROS ? 'bad' : 'text',
      width: 28,
    },
    {
      label: 'hand-over',
      text: `${millisText(numbers[Slot.worstHandoverLatenessMicros]!)} ms`,
      role: numbers[Slot.worstHandoverLatenessMicros]! > BYTE_MICROS ? 'warn' : 'text',
      width: 15,
    },
  ];
  const planned = plannedOnset(scene.song, scene.observed);
  if (planned) {
    const plannedAt = barBeatText(scene.song.timeline, planned.songMicros);
    const text = `${millisText(planned.latenessMicros)} ms at ${plannedAt}`;
    figures.splice(1, 0, { label: 'planned', text, role: 'label', width: 25 });
  }
  const troubles: readonly (readonly [string, number])[] = [
    ['stalls', numbers[Slot.stalls]!],
    ['left out', numbers[Slot.skippedNoteOns]!],
    ['SysEx held', numbers[Slot.heldSysEx]!],
  ];
  for (const [label, count] of troubles) {
    if (count > 0) figures.push({ label, text: String(count), role: 'warn', width: 0 });
  }
  return [...figures, ...portLatenessFigures(scene)];
}

/** Of several outputs each one's worst onset, where there is room for all of them. */
function portLatenessFigures({ observed, song }: Scene): Figure[] {
  if (!song.ports) return [];
  const each = song.ports.map(({ name }, index) => {
    return `${name} ${millisText(observed.ports[index]!.numbers[PortSlot.worstOnsetLatenessMicros]!)}`;
  });
  return [{ label: 'onset on', text: `${each.join(', ')} ms`, role: 'text', width: 0 }];
}

/** When listening: what went on to the output behind it, if there is one. */
function passedOnFigures({ numbers }: ListenState): Figure[] {
  const passedOn = numbers[Heard.passedOn]!;
  const leftOut = numbers[Heard.leftOut]!;
  if (passedOn === 0 && leftOut === 0) return [];
  const figures: Figure[] = [{ label: 'passed on', text: String(passedOn), role: 'text', width: 18 }];
  if (leftOut > 0) figures.push({ label: 'left out', text: String(leftOut), role: 'warn', width: 0 });
  return figures;
}

/** The next seconds of the plan as a small curve, one cell for each stretch, the nearest first. */
function paintAhead(grid: CellGrid, x: number, y: number, width: number, scene: Scene): void {
  const { heights } = scene.theme.glyphs;
  const scale = scene.observed.numbers[Slot.tempoScale] || 1;
  const position = songPosition(scene.observed, scene.nowMicros);
  const stretch = (AHEAD_MICROS * scale) / Math.max(1, width);
  // Whole stretches, so that the curve moves by cells and not at every frame.
  const first = Math.floor(position / stretch);
  const planned = plannedLoad(scene.song, scene.observed);
  for (let cell = 0; cell < width; cell += 1) {
    const load = highestLoad(planned, (first + cell) * stretch, (first + cell + 1) * stretch);
    const height = load <= 0 ? 0 : Math.max(1, Math.round(loadHeight(load) * (heights.length - 1)));
    grid.set(x + cell, y, heights[height]!.codePointAt(0)!, scene.theme.styles[loadRole(load)]);
  }
}
