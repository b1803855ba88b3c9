/**
 * How many levels of references and pairs may be entered, and left, right before each symbol. Each costs the player
 * time, of which a burst has little.
 */
export interface LevelLimits {
  readonly entered: Uint8Array;
  readonly left: Uint8Array;
}

/**
 * Where no burst wants fewer. More than five save less than a thousandth of a song's bytes; with more than three the 6502
 * is measured up to 32 cycles from its account, whose register is a byte.
 */
export const MOST_AT_ONCE = { z80: 5, '6502': 3 } as const;

/** The same everywhere. */
export function levelLimits(symbols: number, most: number): LevelLimits {
  return { entered: new Uint8Array(symbols + 1).fill(most), left: new Uint8Array(symbols + 1).fill(most) };
}
