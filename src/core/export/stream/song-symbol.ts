/**
 * Symbols of a song before it is packed, as numbers. docs/stream.md has the bytes they become.
 *
 *   0–FF        a byte to send
 *   WAIT + n    wait n steps of the grid, 1–255
 *   PAIR + k    pair k of the table
 *   END         the song is over
 */
export const SongSymbol = { wait: 0x100, pair: 0x200, end: 0x1_0000 } as const;

export function isWait(symbol: number): boolean {
  return symbol >= SongSymbol.wait && symbol < SongSymbol.pair;
}

export function isPair(symbol: number): boolean {
  return symbol >= SongSymbol.pair && symbol < SongSymbol.end;
}
