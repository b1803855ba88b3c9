/**
 * The 256-colour palette: 16 colours the user chose (0–15), a 6 x 6 x 6 cube (16–231, levels 0, 95, 135, 175,
 * 215, 255) and 24 greys (232–255, 8 + 10 n). Levels as xterm's control-sequence documentation gives them.
 */
const CUBE_LEVELS = [0, 95, 135, 175, 215, 255] as const;

/** The usual look of the first 16 (from memory: common defaults; each user's differ), in the palette's order. */
const FIRST_SIXTEEN: readonly (readonly [number, number, number])[] = [
  [0, 0, 0],
  [170, 0, 0],
  [0, 170, 0],
  [170, 85, 0],
  [0, 0, 170],
  [170, 0, 170],
  [0, 170, 170],
  [170, 170, 170],
  [85, 85, 85],
  [255, 85, 85],
  [85, 255, 85],
  [255, 255, 85],
  [85, 85, 255],
  [255, 85, 255],
  [85, 255, 255],
  [255, 255, 255],
];

/** Red, green and blue (0–255) of a palette index. */
export function paletteRgb(index: number): readonly [number, number, number] {
  const first = FIRST_SIXTEEN[index];
  if (first !== undefined) return first;
  if (index >= 232) {
    const grey = 8 + 10 * (index - 232);
    return [grey, grey, grey];
  }
  const cube = index - 16;
  return [
    CUBE_LEVELS[Math.floor(cube / 36)]!,
    CUBE_LEVELS[Math.floor(cube / 6) % 6]!,
    CUBE_LEVELS[cube % 6]!,
  ];
}

/** The nearest of the cube and the greys (16–255), whose look does not depend on the user's settings. */
export function nearestPaletteIndex(red: number, green: number, blue: number): number {
  return nearest(red, green, blue, 16, 256);
}

/** The nearest of the first 16, for terminals that have no more. */
export function nearestOfSixteen(index: number): number {
  if (index < 16) return index;
  const [red, green, blue] = paletteRgb(index);
  return nearest(red, green, blue, 0, 16);
}

function nearest(red: number, green: number, blue: number, from: number, to: number): number {
  let best = from;
  let bestDistance = Number.POSITIVE_INFINITY;
  for (let index = from; index < to; index += 1) {
    const [r, g, b] = paletteRgb(index);
    const distance = (r - red) ** 2 + (g - green) ** 2 + (b - blue) ** 2;
    if (distance < bestDistance) {
      best = index;
      bestDistance = distance;
    }
  }
  return best;
}
