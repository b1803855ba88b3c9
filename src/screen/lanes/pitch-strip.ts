import { isDrumChannel } from '../../core/instrument/sound-names.ts';
import { isPedalHeld } from '../../core/observe/stuck-notes.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import type { Scene } from '../scene/scene.ts';
import type { Role } from '../theme/roles.ts';
import { whySilent } from './lane-silence.ts';

/**
 * The whole keyboard, key 0 at the left, 127 at the right. Each half cell is a reed of braille dots that stands
 * for one to four keys: its height is the velocity; a single dot is a key that only the pedal holds, or one
 * that was let go a moment ago (where the hands just were).
 *
 *   dot rows, bottom up     left half  40 04 02 01     right half  80 20 10 08   (Unicode, U+2800 to U+28FF)
 */
const LEFT_DOTS = [0x40, 0x04, 0x02, 0x01] as const;
const RIGHT_DOTS = [0x80, 0x20, 0x10, 0x08] as const;
const BRAILLE = 0x2800;

const AFTERGLOW_MICROS = 1_500_000;
const KEYS = 128;
const MIDDLE_C = 60;

/** From silence up; the strongest in a cell colours it. */
const QUIET = 0;
const GLOW = 1;
const HELD = 2;
const SOFT = 3;
const MIDDLE = 4;
const LOUD = 5;
const STUCK = 6;
type Strength =
  | typeof QUIET
  | typeof GLOW
  | typeof HELD
  | typeof SOFT
  | typeof MIDDLE
  | typeof LOUD
  | typeof STUCK;

const ROLE_OF: readonly Role[] = ['glow', 'glow', 'noteSoft', 'noteSoft', 'noteMid', 'noteLoud', 'stuck'];
const DRUM_ROLE_OF: readonly Role[] = [
  'glow',
  'glow',
  'drumSoft',
  'drumSoft',
  'drumMid',
  'drumLoud',
  'stuck',
];

/** A part that the instrument cannot play. */
const FAINT_ROLE_OF: readonly Role[] = ['glow', 'glow', 'glow', 'glow', 'glow', 'glow', 'stuck'];

/** Used again for every strip of every frame: sixteen lanes twelve times a second would leave a heap of them behind. */
const REED_HEIGHT = new Uint8Array(2 * KEYS);
const STRENGTH = new Uint8Array(KEYS);

export interface StripPlace {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: 1 | 2;
}

export function paintPitchStrip(grid: CellGrid, place: StripPlace, channel: number, scene: Scene): void {
  const { styles, glyphs } = scene.theme;
  const halves = place.width * 2;
  const reedHeight = REED_HEIGHT.fill(0, 0, halves);
  const strength = STRENGTH.fill(0, 0, place.width);
  const most = place.height * 4;
  for (let key = 0; key < KEYS; key += 1) {
    const how = strengthOf(scene, channel, key);
    if (how === QUIET) continue;
    const height = how <= HELD ? 1 : reedOf(scene.observed.velocity[channel * KEYS + key]!, most);
    const from = Math.floor((key * halves) / KEYS);
    const to = Math.max(from + 1, Math.floor(((key + 1) * halves) / KEYS));
    for (let half = from; half < to; half += 1) reedHeight[half] = Math.max(reedHeight[half]!, height);
    const cell = from >> 1;
    strength[cell] = Math.max(strength[cell]!, how);
  }
  const { orchestra } = scene.song;
  const isSilent = whySilent(scene.observed, channel, orchestra) !== undefined;
  const roles = isSilent
    ? FAINT_ROLE_OF
    : isDrumChannel(orchestra[channel]!, channel)
      ? DRUM_ROLE_OF
      : ROLE_OF;
  const everActive = scene.observed.noteOns[channel]! > 0;
  for (let cell = 0; cell < place.width; cell += 1) {
    const style = styles[roles[strength[cell]!]!];
    for (let row = 0; row < place.height; row += 1) {
      const floor = (place.height - 1 - row) * 4;
      let glyph = brailleCell(reedHeight[cell * 2]! - floor, reedHeight[cell * 2 + 1]! - floor);
      if (!glyphs.braille) {
        const sign = row === place.height - 1 ? plainSign(strength[cell]! as Strength, glyphs.notes) : ' ';
        glyph = sign.codePointAt(0)!;
      }
      if (glyph === BRAILLE) glyph = 0x20;
      const isGuide =
        glyph === 0x20 && everActive && row === place.height - 1 && isMiddleC(cell, place.width);
      grid.set(
        place.x + cell,
        place.y + row,
        isGuide ? glyphs.dot.codePointAt(0)! : glyph,
        isGuide ? styles.glow : style,
      );
    }
  }
}

function strengthOf(scene: Scene, channel: number, key: number): Strength {
  const { observed, nowMicros } = scene;
  const place = channel * KEYS + key;
  if (observed.strikes[place]! > 0) {
    for (const note of scene.stuck) {
      if (note.channel === channel && note.key === key) return STUCK;
    }
    const velocity = observed.velocity[place]!;
    return velocity > 84 ? LOUD : velocity > 42 ? MIDDLE : SOFT;
  }
  if (isPedalHeld(observed, place)) return HELD;
  const onset = observed.onsetMicros[place]!;
  return onset > 0 && nowMicros - onset < AFTERGLOW_MICROS ? GLOW : QUIET;
}

/** Dots of a reed: two for the softest, all for the loudest. */
function reedOf(velocity: number, most: number): number {
  return Math.min(most, 2 + Math.floor((velocity * (most - 1)) / KEYS));
}

function brailleCell(left: number, right: number): number {
  let dots = 0;
  for (let dot = 0; dot < 4; dot += 1) {
    if (left > dot) dots |= LEFT_DOTS[dot]!;
    if (right > dot) dots |= RIGHT_DOTS[dot]!;
  }
  return BRAILLE + dots;
}

function plainSign(how: Strength, notes: readonly [string, string, string, string]): string {
  if (how === QUIET) return ' ';
  if (how <= HELD) return notes[0];
  return how === SOFT ? notes[1] : how === MIDDLE ? notes[2] : notes[3];
}

function isMiddleC(cell: number, width: number): boolean {
  return cell === Math.floor((MIDDLE_C * width) / KEYS);
}
