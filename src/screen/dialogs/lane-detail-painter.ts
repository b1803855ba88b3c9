import { programName } from '../../core/instrument/general-midi.ts';
import type { Instrument } from '../../core/instrument/instrument.ts';
import { describeMessage } from '../../core/instrument/message-words.ts';
import { soundName } from '../../core/instrument/sound-names.ts';
import { controllerName } from '../../core/midi/controllers.ts';
import { NEVER_SEEN, type ObservedState, Slot } from '../../core/observe/observed-state.ts';
import { counted } from '../../core/report/figure-text.ts';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { messageHex } from '../format/message-hex.ts';
import { percentText, signedText } from '../format/moment.ts';
import { isWaiting } from '../lanes/lane-facts.ts';
import { laneName, laneProgram } from '../lanes/lane-name.ts';
import { whySilent } from '../lanes/lane-silence.ts';
import type { Scene } from '../scene/scene.ts';
import type { Role } from '../theme/roles.ts';
import { paintKeyboard } from './keyboard-painter.ts';
import { recentOn } from './recent-messages.ts';

const HEX_WIDTH = 10;
const WORDS_WIDTH = 34;

/** Everything about the chosen lane: its keyboard, numbers, controllers, and what was sent last. */
export function paintLaneDetail(grid: CellGrid, area: Area, scene: Scene): void {
  const { observed, theme, state } = scene;
  const channel = state.lane;
  const instrument = scene.song.orchestra[channel]!;
  const { styles } = theme;
  const end = area.x + area.width;
  const bottom = area.y + area.height;
  let y = area.y;
  const line = (label: string, text: string, role: Role = 'text'): void => {
    if (y >= bottom || text === '') return;
    const used = drawText(grid, area.x + 1, y, label === '' ? '' : `${label} `, styles.label, area.width - 1);
    drawText(grid, area.x + 1 + used, y, text, styles[role], Math.max(0, area.width - 1 - used));
    y += 1;
  };
  line(
    '',
    `${laneName(observed, channel, instrument, scene.song.wishes) || 'nothing was sent on this channel'}${programText(observed, channel)}`,
    'strong',
  );
  if (y + 1 < bottom) {
    paintKeyboard(grid, area.x + 1, y, area.width - 2, channel, scene);
    y += 2;
  }
  const silent = whySilent(observed, channel, scene.song.orchestra);
  line('', silent === undefined ? '' : `${instrument.name}: ${silent}`, 'warn');
  line('sounding', soundingText(observed, channel, instrument) || 'nothing');
  line('', settingsText(observed, channel), 'warn');
  line(scene.listen ? 'heard' : 'sent', sentText(observed, channel));
  if (y >= bottom) return;

  const besides = area.width >= 76;
  const messagesWidth = HEX_WIDTH + WORDS_WIDTH;
  const controllersWidth = besides ? area.width - messagesWidth - 1 : area.width;
  const used = paintControllers(
    grid,
    { x: area.x, y, width: controllersWidth, height: bottom - y },
    scene,
    channel,
  );
  const top = besides ? y : y + used;
  const left = besides ? area.x + controllersWidth + 1 : area.x + 1;
  for (const [at, { packed }] of recentOn(observed, channel, Math.max(0, bottom - top)).entries()) {
    drawText(grid, left, top + at, messageHex(packed), styles.label, HEX_WIDTH);
    drawText(
      grid,
      left + HEX_WIDTH,
      top + at,
      describeMessage((packed >>> 16) & 0xff, (packed >>> 8) & 0x7f, packed & 0x7f, instrument),
      at === 0 ? styles.strong : styles.text,
      end - left - HEX_WIDTH,
    );
  }
}

/** ` · program 5, bank 0/0`; the bank is what was in force at the last program change. */
function programText(observed: ObservedState, channel: number): string {
  const program = laneProgram(observed, channel);
  if (program === undefined) return '';
  const msb = observed.bankMsb[channel]!;
  const lsb = observed.bankLsb[channel]!;
  const bank = msb === NEVER_SEEN && lsb === NEVER_SEEN ? '' : `, bank ${seen(msb)}/${seen(lsb)}`;
  const asked = observed.programOverride[channel]! >= 0 ? ', your choice' : '';
  const written = observed.program[channel]!;
  const other =
    asked && written !== NEVER_SEEN && written !== program ? ` (last sent: ${programName(written)})` : '';
  return `, program ${program + 1}${bank}${asked}${other}`;
}

function seen(value: number): string {
  return value === NEVER_SEEN ? '-' : String(value);
}

function soundingText(observed: ObservedState, channel: number, instrument: Instrument): string {
  const parts: string[] = [];
  for (let key = 0; key < 128; key += 1) {
    const place = channel * 128 + key;
    if (observed.strikes[place]! > 0)
      parts.push(`${soundName(instrument, channel, key)} ${observed.velocity[place]}`);
  }
  return parts.join('  ');
}

function settingsText(observed: ObservedState, channel: number): string {
  const parts: string[] = [];
  if (observed.muted[channel]) parts.push('muted');
  if (observed.soloed[channel]) parts.push('solo');
  else if (isWaiting(observed, channel)) parts.push('waits: another lane is solo');
  if (observed.heldBack[channel]! > 0)
    parts.push(`${counted(observed.heldBack[channel]!, 'note')} held back`);
  if (observed.velocityTrim[channel] !== 0)
    parts.push(`velocity ${signedText(observed.velocityTrim[channel]!)}`);
  if (observed.channelTranspose[channel] !== 0)
    parts.push(`transpose ${signedText(observed.channelTranspose[channel]!)}`);
  return parts.join(', ');
}

function sentText(observed: ObservedState, channel: number): string {
  const all = observed.numbers[Slot.bytesSent]!;
  const share = all > 0 ? ` (${percentText(observed.bytes[channel]! / all)} of all)` : '';
  const { noteOns, messages, bytes } = observed;
  const counts = [
    counted(noteOns[channel]!, 'note'),
    counted(messages[channel]!, 'message'),
    counted(bytes[channel]!, 'byte'),
  ];
  return `${counts.join(', ')}${share}`;
}

/** Controllers that were seen, bend and pressure, in columns; returns the rows used. */
function paintControllers(grid: CellGrid, area: Area, scene: Scene, channel: number): number {
  const { observed, theme } = scene;
  const entries: [string, string][] = [];
  if (observed.bend[channel] !== 8192)
    entries.push(['Pitch Bend', signedText(observed.bend[channel]! - 8192)]);
  if (observed.pressure[channel]! > 0) entries.push(['Channel Pressure', String(observed.pressure[channel])]);
  for (let number = 0; number < 120; number += 1) {
    const value = observed.controller[channel * 128 + number]!;
    if (value !== NEVER_SEEN) entries.push([controllerName(number), String(value)]);
  }
  const columnWidth = Math.min(area.width, 27);
  const columns = Math.max(1, Math.floor(area.width / columnWidth));
  const rows = Math.min(area.height, Math.ceil(entries.length / columns));
  for (const [at, [name, value]] of entries.slice(0, rows * columns).entries()) {
    const x = area.x + 1 + Math.floor(at / rows) * columnWidth;
    const y = area.y + (at % rows);
    drawText(grid, x, y, value.padStart(5), theme.styles.text, 5);
    drawText(grid, x + 6, y, name, theme.styles.label, columnWidth - 7);
  }
  return rows;
}
