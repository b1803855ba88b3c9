import fc from 'fast-check';
import { codeTable } from '../../../../src/core/export/stream/code-table.ts';
import { type LevelLimits, MOST_AT_ONCE } from '../../../../src/core/export/stream/level-limits.ts';
import { SongSymbol } from '../../../../src/core/export/stream/song-symbol.ts';

const WAIT = SongSymbol.wait;
/** Symbols of one byte and of two, with pairs of them and pairs of pairs. */
const LETTERS = [60, 64, 0x90, 0xb3, WAIT + 1, WAIT + 9];
export const TABLE = codeTable(
  [1],
  [0x90],
  [
    [0x90, 60],
    [WAIT + 1, 64],
    [SongSymbol.pair, SongSymbol.pair + 1],
  ],
);

/** Songs in which much comes again. */
export const pieces = (maxLength: number) =>
  fc
    .tuple(
      fc.array(fc.constantFrom(...LETTERS), { minLength: 2, maxLength: 5 }),
      fc.array(fc.oneof(fc.constant(-1), fc.constant(-1), fc.nat(LETTERS.length - 1)), {
        minLength: 1,
        maxLength,
      }),
    )
    .map(([piece, all]) => all.flatMap((one) => (one < 0 ? piece : [LETTERS[one]!])).slice(0, maxLength));

/** As many levels everywhere as in a song, or now and then fewer. */
export const levels = (symbols: number) =>
  fc.constantFrom(MOST_AT_ONCE, 1, 9).chain((most) => {
    const column = fc.array(fc.oneof(fc.constant(most), fc.integer({ min: 0, max: most })), {
      minLength: symbols + 1,
      maxLength: symbols + 1,
    });
    return fc.tuple(column, column).map(
      ([entered, left]): LevelLimits => ({
        entered: Uint8Array.from(entered),
        left: Uint8Array.from(left),
      }),
    );
  });

/** Of the ways to write a song one by chance. */
export const picks = fc.array(fc.nat(30), { minLength: 8, maxLength: 20 });
