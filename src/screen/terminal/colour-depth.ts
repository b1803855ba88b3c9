import {
  ATTRIBUTE_BITS,
  BACKGROUND_BITS,
  BACKGROUND_SHIFT,
  background,
  FOREGROUND_BITS,
  foreground,
} from '../cells/cell-grid.ts';
import { nearestOfSixteen } from '../cells/palette.ts';

/** How many colours the terminal is sent: none (attributes stay), the first 16, or the 256-colour palette. */
export type ColourDepth = 0 | 16 | 256;

/**
 * The depth an environment asks for. `NO_COLOR` with any value but the empty one means none
 * (no-color.org); the rest is common practice, no source.
 */
export function colourDepthFrom(environment: Readonly<Record<string, string | undefined>>): ColourDepth {
  const { NO_COLOR, TERM = '', COLORTERM = '' } = environment;
  if (NO_COLOR !== undefined && NO_COLOR !== '') return 0;
  if (TERM === '' || TERM === 'dumb' || TERM.startsWith('vt')) return 0;
  if (/256|direct|truecolor/.test(TERM) || COLORTERM !== '') return 256;
  return 16;
}

/** Turns a style into one that only asks for what the depth has. */
export function styleReducer(depth: ColourDepth): (style: number) => number {
  if (depth === 256) return (style) => style;
  if (depth === 0) return (style) => style & ATTRIBUTE_BITS;
  return (style) => {
    const front = FOREGROUND_OF_SIXTEEN[style & FOREGROUND_BITS]!;
    const back = BACKGROUND_OF_SIXTEEN[(style & BACKGROUND_BITS) >> BACKGROUND_SHIFT]!;
    return (style & ATTRIBUTE_BITS) | front | back;
  };
}

/** Indexed by the colour bits of a style: 0, or palette index + 1. */
const FOREGROUND_OF_SIXTEEN = new Uint32Array(FOREGROUND_BITS + 1);
const BACKGROUND_OF_SIXTEEN = new Uint32Array(FOREGROUND_BITS + 1);
for (let index = 0; index < 256; index += 1) {
  FOREGROUND_OF_SIXTEEN[index + 1] = foreground(nearestOfSixteen(index));
  BACKGROUND_OF_SIXTEEN[index + 1] = background(nearestOfSixteen(index));
}
