import { brotliCompressSync, constants, deflateSync } from 'node:zlib';
import type { PreparedSong } from '../../../src/core/export/prepare-song.ts';

/** Not a status byte that a song sends (MIDI 1.0, Table VI: undefined); stands for a wait here. */
const WAIT = 0xf4;

/** The same song as waits and bytes with nothing packed, and what packers make of it that need a window in memory. */
export interface Yardsticks {
  readonly plain: number;
  readonly zlib: number;
  readonly brotli: number;
}

export function yardsticksOf({ played }: PreparedSong, stepUnits: number): Yardsticks {
  const { bytes, dueUnits, slotUnits } = played;
  const plain: number[] = [];
  let grid = 0;
  let free = dueUnits[0]!;
  for (const [at, byte] of bytes.entries()) {
    const due = dueUnits[at]!;
    if (due > free) {
      let steps = Math.round((due - dueUnits[0]!) / stepUnits) - grid;
      grid += steps;
      for (; steps > 0; steps -= 255) plain.push(WAIT, Math.min(255, steps));
    }
    plain.push(byte);
    free = due + slotUnits;
  }
  const whole = Uint8Array.from(plain);
  return {
    plain: whole.length,
    zlib: deflateSync(whole, { level: 9 }).length,
    brotli: brotliCompressSync(whole, {
      params: { [constants.BROTLI_PARAM_LGWIN]: 24, [constants.BROTLI_PARAM_SIZE_HINT]: whole.length },
    }).length,
  };
}
