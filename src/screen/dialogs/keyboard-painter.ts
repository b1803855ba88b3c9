import { keyName } from '../../core/midi/key-names.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import type { Scene } from '../scene/scene.ts';

const BLACK_STEPS = new Set([1, 3, 6, 8, 10]);
const LOWEST_SHOWN = 21;

/**
 * A keyboard, one cell a key, two rows: the keys themselves (pressed ones carry their velocity's colour and a
 * sign), and the name of each C. As many keys as fit, from the piano's lowest A or around what sounds.
 */
export function paintKeyboard(
  grid: CellGrid,
  x: number,
  y: number,
  width: number,
  channel: number,
  scene: Scene,
): void {
  const { observed, theme } = scene;
  const { styles, glyphs } = theme;
  const first = firstKey(scene, channel, width);
  const [white, black, pressed] = glyphs.braille ? ['▄', '▂', '█'] : ['_', '-', '#'];
  for (let cell = 0; cell < width && first + cell < 128; cell += 1) {
    const key = first + cell;
    const velocity = observed.velocity[channel * 128 + key]!;
    const isBlack = BLACK_STEPS.has(key % 12);
    const role =
      velocity > 84
        ? 'noteLoud'
        : velocity > 42
          ? 'noteMid'
          : velocity > 0
            ? 'noteSoft'
            : isBlack
              ? 'faint'
              : 'label';
    const sign = velocity > 0 ? pressed : isBlack ? black : white;
    grid.set(x + cell, y, sign.codePointAt(0)!, styles[role]);
    const name = key % 12 === 0 ? keyName(key) : '';
    if (cell + name.length <= width) drawText(grid, x + cell, y + 1, name, styles.label);
  }
}

/** Octaves move as a whole, so that the keyboard stands still while hands move within it. */
function firstKey(scene: Scene, channel: number, width: number): number {
  if (width >= 128) return 0;
  const { strikes } = scene.observed;
  let low = 128;
  let high = -1;
  for (let key = 0; key < 128; key += 1) {
    if (strikes[channel * 128 + key] === 0) continue;
    low = Math.min(low, key);
    high = key;
  }
  const usual = width >= 88 ? LOWEST_SHOWN : 36;
  if (high < 0 || (low >= usual && high < usual + width)) return usual;
  return low < usual
    ? Math.max(0, Math.floor(low / 12) * 12)
    : Math.min(128 - width, Math.ceil((high - width + 1) / 12) * 12);
}
