import { TICKS_PER_QUARTER } from './notation.ts';

/** Keys of the General MIDI percussion map (GM System Level 1, channel 10). */
export const DRUMS = {
  kick: 36,
  stick: 37,
  snare: 38,
  clap: 39,
  lowTom: 45,
  midTom: 47,
  highTom: 50,
  closedHat: 42,
  pedalHat: 44,
  openHat: 46,
  crash: 49,
  ride: 51,
  tambourine: 54,
  splash: 55,
  crash2: 57,
  conga: 63,
  lowConga: 64,
  cabasa: 69,
  claves: 75,
  triangle: 81,
} as const;
export type Drum = keyof typeof DRUMS;

/**
 * Drums on a grid of sixteenths, a row for each: `x` a stroke, `X` a loud one, `o` a soft one, anything else
 * none; spaces only help the eye. A row shorter than the longest is repeated.
 */
export type DrumGrid = Partial<Readonly<Record<Drum, string>>>;

export interface Stroke {
  /** Ticks from the beginning of the grid. */
  readonly tick: number;
  readonly key: number;
  readonly accent: number;
}

const STEP = TICKS_PER_QUARTER / 4;
const ACCENTS: Readonly<Record<string, number>> = { X: 1, x: 0, o: -1 };

export function readGrid(grid: DrumGrid): { readonly strokes: readonly Stroke[]; readonly ticks: number } {
  const rows = Object.entries(grid).map(([drum, row]) => [drum as Drum, row.replaceAll(/\s/g, '')] as const);
  const steps = Math.max(...rows.map(([, row]) => row.length));
  const strokes: Stroke[] = [];
  for (const [drum, row] of rows) {
    for (let step = 0; step < steps; step += 1) {
      const accent = ACCENTS[row[step % row.length]!];
      if (accent !== undefined) strokes.push({ tick: step * STEP, key: DRUMS[drum], accent });
    }
  }
  return { strokes: strokes.sort((a, b) => a.tick - b.tick || a.key - b.key), ticks: steps * STEP };
}
