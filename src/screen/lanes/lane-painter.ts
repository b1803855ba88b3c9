import { GENERAL_MIDI } from '../../core/instrument/general-midi-instrument.ts';
import { Cc } from '../../core/midi/controllers.ts';
import { isDamperDown } from '../../core/observe/damper.ts';
import { NEVER_SEEN, type ObservedState } from '../../core/observe/observed-state.ts';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import type { Scene } from '../scene/scene.ts';
import type { Role } from '../theme/roles.ts';
import { CHANNELS, laneArea } from './lane-area.ts';
import { type LaneColumns, laneColumnsFor } from './lane-columns.ts';
import { isAltered, isWaiting, laneSetting, sinceActivity } from './lane-facts.ts';
import { laneName, laneProgram, soundingNames } from './lane-name.ts';
import { whySilent } from './lane-silence.ts';
import { paintPitchStrip } from './pitch-strip.ts';

const FLASH_MICROS = 1_200_000;
const HELD_BACK_SHOWN_MICROS = 1_000_000;
const LIVELY_MICROS = 150_000;
const QUIET_MICROS = 4_000_000;
const BEND_CENTRE = 8192;
/** Numbers as they stand in their columns; made once, and not in every lane of every frame. */
const IN_TWO = Array.from({ length: 100 }, (_, number) => String(number).padStart(2));
const IN_FOUR = Array.from({ length: 128 }, (_, number) => String(number).padStart(4));

/** Paints all sixteen lanes, in one or two bands side by side. */
export function paintLanes(grid: CellGrid, area: Area, scene: Scene, bands: 1 | 2, laneRows: 1 | 2): void {
  let columnsWidth = -1;
  let columns!: LaneColumns;
  for (let channel = 0; channel < CHANNELS; channel += 1) {
    const { x, y, width } = laneArea(area, bands, laneRows, channel);
    // Made once for lanes that are alike, as nearly all are.
    if (width !== columnsWidth) columns = laneColumnsFor(width);
    columnsWidth = width;
    paintLane(grid, x, y, columns, laneRows, channel, scene);
  }
}

function paintLane(
  grid: CellGrid,
  x: number,
  y: number,
  columns: LaneColumns,
  rows: 1 | 2,
  channel: number,
  scene: Scene,
): void {
  const { observed, theme, state } = scene;
  const { styles, glyphs } = theme;
  const put = (column: number, text: string, role: Role, width?: number, row = 0): void => {
    if (column >= 0) drawText(grid, x + column, y + row, text, styles[role], width);
  };
  const since = sinceActivity(scene, channel);
  const idle = since === undefined;
  const chosen = state.lane === channel;
  const instrument = scene.song.orchestra[channel]!;
  const silent = idle ? undefined : whySilent(observed, channel, scene.song.orchestra);

  put(columns.cursor, chosen ? glyphs.cursor : ' ', 'selected');
  const numberRole = chosen
    ? 'selected'
    : idle || silent !== undefined
      ? 'faint'
      : since < LIVELY_MICROS
        ? 'strong'
        : 'label';
  put(columns.number, IN_TWO[channel + 1]!, numberRole);
  paintSigns(put, columns, channel, scene);
  const emptied = idle ? scene.song.emptied?.get(channel) : undefined;
  if (emptied !== undefined) put(columns.name, emptied, 'faint', columns.nameWidth);
  else if (columns.nameWidth > 0) {
    // What cannot be heard is called by what the song wished for.
    const sound = laneName(
      observed,
      channel,
      silent === undefined ? instrument : GENERAL_MIDI,
      scene.song.wishes,
    );
    const own = scene.song.playAlong?.channel === channel ? visitorName(observed, channel, sound) : sound;
    const named = silent === undefined ? own : own === '' ? silent : `${silent}: ${own}`;
    const role = silent === undefined ? nameRole(scene, channel, since) : 'faint';
    put(columns.name, named, chosen && role === 'text' ? 'strong' : role, columns.nameWidth);
    if (isAltered(observed, channel)) put(columns.changed, glyphs.changed, 'warn');
  }
  paintPitchStrip(grid, { x: x + columns.strip, y, width: columns.stripWidth, height: rows }, channel, scene);
  if (idle) return;

  const sounding = observed.sounding[channel]!;
  if (sounding > 0) put(columns.count, IN_TWO[sounding] ?? String(sounding), 'text');
  if (isDamperDown(observed, channel)) put(columns.pedal, glyphs.pedal, 'strong');
  const bend = observed.bend[channel]! - BEND_CENTRE;
  if (bend !== 0) {
    const percent = Math.min(99, Math.max(1, Math.round((Math.abs(bend) * 100) / BEND_CENTRE)));
    put(columns.bend, `${bend > 0 ? glyphs.bendUp : glyphs.bendDown}${percent}`, 'name');
  }
  const level = levelOf(observed, channel);
  if (level !== undefined) {
    // One column of growing height and the number: a bar in every lane would outshine the notes.
    const step = Math.ceil(level * (glyphs.heights.length - 1));
    const role = since > QUIET_MICROS ? 'faint' : 'played';
    put(columns.volume, glyphs.heights[step]!, role);
    if (columns.volume >= 0)
      put(columns.volume + 1, IN_FOUR[Math.round(level * 127)]!, since > QUIET_MICROS ? 'faint' : 'label');
  }
  if (rows === 2 && columns.nameWidth > 0) {
    put(
      columns.name,
      soundingNames(observed, channel, columns.nameWidth, instrument),
      'name',
      columns.nameWidth,
      1,
    );
    put(columns.count, laneSetting(observed, channel), 'label', 15, 1);
  }
}

/** Whose lane it is: somebody plays along on it. */
function visitorName(observed: ObservedState, channel: number, sound: string): string {
  return laneProgram(observed, channel) === undefined ? 'plays along' : `along: ${sound}`;
}

function paintSigns(
  put: (column: number, text: string, role: Role) => void,
  columns: LaneColumns,
  channel: number,
  scene: Scene,
): void {
  const { observed, theme, nowMicros } = scene;
  if (observed.soloed[channel]) put(columns.sign, 'S', 'soloed');
  else if (observed.muted[channel]) put(columns.sign, 'M', 'muted');
  else if (isWaiting(observed, channel)) put(columns.sign, 'w', 'muted');
  const heldAt = scene.heldBackAtMicros[channel]!;
  if (heldAt >= 0 && nowMicros - heldAt < HELD_BACK_SHOWN_MICROS) {
    put(columns.heldBack, theme.glyphs.heldBack, 'muted');
  }
  if (scene.stuck.some((note) => note.channel === channel && note.cause !== 'held-by-pedal')) {
    put(columns.stuck, '!', 'stuck');
  }
}

function nameRole(scene: Scene, channel: number, since: number | undefined): Role {
  const changedAt = scene.observed.programChangedMicros[channel]!;
  if (changedAt >= 0 && scene.nowMicros - changedAt < FLASH_MICROS) return 'flash';
  return since === undefined || since > QUIET_MICROS ? 'faint' : 'text';
}

/** Channel volume times expression as a share of the most; undefined where neither was sent. */
function levelOf(observed: ObservedState, channel: number): number | undefined {
  const volume = observed.controller[channel * 128 + Cc.volume]!;
  const expression = observed.controller[channel * 128 + Cc.expression]!;
  if (volume === NEVER_SEEN && expression === NEVER_SEEN) return undefined;
  return (volume === NEVER_SEEN ? 1 : volume / 127) * (expression === NEVER_SEEN ? 1 : expression / 127);
}
