/**
 * How many levels of references and pairs may be entered, and left, right before each symbol. Each costs the player
 * time, of which a burst has little.
 */
export interface LevelLimits {
  readonly entered: Uint8Array;
  readonly left: Uint8Array;
}

/** Where no burst wants fewer. More than five save less than a thousandth of a song's bytes. */
export const MOST_AT_ONCE = 5;

/** The same everywhere. */
export function levelLimits(symbols: number, most: number): LevelLimits {
  return { entered: new Uint8Array(symbols + 1).fill(most), left: new Uint8Array(symbols + 1).fill(most) };
}
