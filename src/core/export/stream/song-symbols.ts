import { SongSymbol } from './song-symbol.ts';
import type { WireMessages } from './wire-messages.ts';

export interface SongSymbols {
  readonly symbols: Int32Array;
  /** Furthest that a message begins from where the plan has it, in microseconds; 0 for a song of nothing. */
  readonly errorMicros: number;
}

/** In steps: a moment half way is rounded up each time, though microseconds are rounded themselves. */
const HALF_UP = 0.02;

/**
 * Puts messages on a grid: what follows the one before it without a rest follows it in the stream too, and any
 * other begins at the step nearest to its moment. Steps are counted from the steps before, exactly, so that what is
 * rounded here is never added up.
 * @param step of the grid, in units; 256ths of one are exact
 * @param slotUnits what a byte takes on the wire
 * @param burstUnits a burst is cut by a wait after this long
 */
export function songSymbolsOf(
  messages: WireMessages,
  step: number,
  unitMicros: number,
  slotUnits: number,
  burstUnits: number,
): SongSymbols {
  const symbols: number[] = [];
  let grid = 0;
  let free = 0;
  let worst = 0;
  const wait = (steps: number) => {
    let left = steps;
    while (left > 0) {
      const part = Math.min(left, 255);
      symbols.push(SongSymbol.wait + part);
      left -= part;
    }
    grid += steps * step;
  };
  for (let message = 0; message < messages.count; message += 1) {
    const due = messages.startMicros[message]! / unitMicros;
    if (due - free > step / 2 || free - grid > burstUnits) {
      wait(Math.max(1, Math.round((Math.max(due, free - step / 2) - grid) / step + HALF_UP)));
      free = Math.max(free, grid);
    }
    worst = Math.max(worst, Math.abs(free - due));
    const end = messages.first[message + 1]!;
    for (let at = messages.first[message]!; at < end; at += 1) symbols.push(messages.bytes[at]!);
    free += (end - messages.first[message]!) * slotUnits;
  }
  return { symbols: Int32Array.from(symbols), errorMicros: worst * unitMicros };
}
