import { UNIT_PARTS } from '../player/image.ts';
import {
  leastStepUnits,
  longestBurstUnits,
  type PlayerMachine,
  slotUnitsOf,
  unitMicrosOf,
} from '../player/player-machine.ts';
import { FEW_ROUNDS, type PackedSymbols, packedSymbols } from './choose-codes.ts';
import { codingOf } from './coding.ts';
import { levelLimits, MOST_AT_ONCE } from './level-limits.ts';
import { plainTable } from './next-table.ts';
import { evenOutlook } from './outlook.ts';
import { referencedParts } from './references.ts';
import { SongSymbol } from './song-symbol.ts';
import { songSymbolsOf } from './song-symbols.ts';
import type { WireMessages } from './wire-messages.ts';

export interface PackedStream extends PackedSymbols {
  readonly symbols: Int32Array;
  /** In whole 256ths. */
  readonly stepUnits: number;
  readonly errorMicros: number;
}

/** Parts of a quarter that are tried as a step, and fixed steps in microseconds for what has no steady beat. */
const PARTS_OF_QUARTER = [
  16, 24, 32, 36, 48, 60, 64, 72, 80, 84, 96, 100, 108, 112, 120, 128, 144, 160, 168, 180, 192, 216, 240, 288,
  320, 384, 480,
];
const FIXED_MICROS = [2_500, 3_000, 3_500, 4_000, 4_500, 5_000, 5_200];

/**
 * Packs on the grid that gives the smallest stream of those that stay within the limit; where none does, on the
 * most exact of them. @param silence what a stop plays, behind the song's end; absent: nothing stops it
 * @param quarterMicros the tempo that rules for longest
 */
export function packStream(
  messages: WireMessages,
  silence: WireMessages | undefined,
  quarterMicros: number,
  machine: PlayerMachine,
  limitMicros: number,
): PackedStream {
  const unitMicros = unitMicrosOf(machine);
  const slotUnits = slotUnitsOf(machine);
  const steps = new Set(
    [...PARTS_OF_QUARTER.map((part) => quarterMicros / part), ...FIXED_MICROS]
      .filter((micros) => micros / 2 <= limitMicros && micros >= limitMicros / 4)
      .map((micros) => Math.round((UNIT_PARTS * micros) / unitMicros) / UNIT_PARTS),
  );
  steps.add(Math.floor((1.6 * limitMicros) / unitMicros));
  const least = leastStepUnits(machine, limitMicros / unitMicros);
  const onStep = (step: number) =>
    songSymbolsOf(messages, step, unitMicros, slotUnits, longestBurstUnits(machine, step));
  // A look without pairs tells which are worth a closer one.
  const tried = [...new Set([...steps].map((step) => Math.max(step, least)))].map((step) => {
    const { symbols, errorMicros } = onStep(step);
    const parts = referencedParts(
      symbols.subarray(0, TRIED_SYMBOLS),
      codingOf(plainTable(symbols)),
      evenOutlook(Math.min(symbols.length, TRIED_SYMBOLS)),
      levelLimits(TRIED_SYMBOLS, MOST_AT_ONCE),
    );
    return { step, errorMicros, size: parts.offset[parts.count]! };
  });
  const byBest = bestFirst(limitMicros);
  const likely = tried.sort(byBest).slice(0, LIKELY_STEPS);
  const closer = likely.map(({ step, errorMicros }) => {
    const symbols = onStep(step).symbols.subarray(0, TRIED_SYMBOLS);
    const { size } = packedSymbols(symbols, levelLimits(TRIED_SYMBOLS, MOST_AT_ONCE), FEW_ROUNDS);
    return { step, errorMicros, size };
  });
  const { step } = closer.sort(byBest)[0]!;
  const { symbols, errorMicros } = onStep(step);
  const last =
    silence && songSymbolsOf(silence, step, unitMicros, slotUnits, longestBurstUnits(machine, step)).symbols;
  const all = last === undefined ? symbols : Int32Array.from([...symbols, SongSymbol.end, ...last]);
  const packed = packedSymbols(all, levelLimits(all.length, MOST_AT_ONCE));
  return { ...packed, symbols: all, stepUnits: step, errorMicros };
}

/** So much of a song says how well it packs. */
const TRIED_SYMBOLS = 12_000;
/** Steps that are looked at more closely. */
const LIKELY_STEPS = 6;

interface Tried extends Pick<PackedStream, 'size' | 'errorMicros'> {
  readonly step: number;
}

/** Within the limit the smallest, of equally small ones the most exact; past it the most exact. Then the coarsest. */
function bestFirst(limitMicros: number): (one: Tried, other: Tried) => number {
  const isPast = ({ errorMicros }: Tried) => errorMicros > limitMicros;
  return (one, other) =>
    Number(isPast(one)) - Number(isPast(other)) ||
    (isPast(one) ? 0 : one.size - other.size) ||
    one.errorMicros - other.errorMicros ||
    other.step - one.step;
}
