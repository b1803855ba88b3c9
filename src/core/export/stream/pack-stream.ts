import {
  leastStepUnits,
  longestBurstUnits,
  type PlayerMachine,
  slotUnitsOf,
  unitMicrosOf,
} from '../player/player-machine.ts';
import { type CodeTable, codeBytes, codeTableOf } from './code-table.ts';
import { pairedSymbols } from './pair-symbols.ts';
import { type ReferencedParts, referencedParts } from './references.ts';
import { SongSymbol } from './song-symbol.ts';
import { type SongSymbols, songSymbolsOf } from './song-symbols.ts';
import type { WireMessages } from './wire-messages.ts';

export interface PackedStream {
  readonly table: CodeTable;
  readonly parts: ReferencedParts;
  /** Bytes of stream and tables. */
  readonly size: number;
  readonly stepUnits: number;
  readonly errorMicros: number;
}

/** Parts of a quarter that are tried as a step, and fixed steps in microseconds for what has no steady beat. */
const PARTS_OF_QUARTER = [24, 48, 60, 64, 72, 96, 120, 144, 192];
const FIXED_MICROS = [4_000, 5_000];

/**
 * Packs on the grid that gives the smallest stream of those that stay within the limit; where none does, on the
 * finest of them. @param silence what a stop plays, behind the song's end; absent: nothing stops it
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
      .map((micros) => Math.round(micros / unitMicros)),
  );
  steps.add(Math.floor((1.6 * limitMicros) / unitMicros));
  const least = leastStepUnits(machine);
  const onStep = (step: number) =>
    songSymbolsOf(messages, step, unitMicros, slotUnits, longestBurstUnits(machine, step));
  // Pairs make all streams smaller alike: the steps are held against one another without them.
  const tried = [...new Set([...steps].map((step) => Math.max(step, least)))].map((step) => {
    const { symbols, errorMicros } = onStep(step);
    const table = codeTableOf(symbols);
    const parts = referencedParts(symbols.subarray(0, TRIED_SYMBOLS), lengthsOf(table));
    return { step, errorMicros, size: parts.offset[parts.count]! };
  });
  const [best] = tried.sort((one, other) => (isBetter(one, other, limitMicros) ? -1 : 1));
  const { step } = best!;
  const { symbols, errorMicros } = onStep(step);
  if (silence === undefined) return packOn({ symbols, errorMicros }, step);
  const last = songSymbolsOf(silence, step, unitMicros, slotUnits, longestBurstUnits(machine, step));
  // The step is known already when a stop comes.
  const all = [...symbols, SongSymbol.tempo, ...last.symbols.subarray(1)];
  return packOn({ symbols: Int32Array.from(all), errorMicros }, step);
}

/** So much of a song says how well it packs. */
const TRIED_SYMBOLS = 40_000;

type Tried = Pick<PackedStream, 'size' | 'errorMicros'>;

function isBetter(one: Tried, other: Tried, limitMicros: number): boolean {
  const isWithin = one.errorMicros <= limitMicros;
  if (isWithin !== other.errorMicros <= limitMicros) return isWithin;
  return isWithin ? one.size < other.size : one.errorMicros < other.errorMicros;
}

function packOn({ symbols, errorMicros }: SongSymbols, stepUnits: number): PackedStream {
  const plain = codeTableOf(symbols);
  // Lengths do not change with pairs: each is one byte, and no other symbol's code grows.
  const bytesOf = lengthsOf(plain);
  const paired = pairedSymbols(symbols, plain, bytesOf);
  const parts = referencedParts(paired.symbols, bytesOf);
  const { table } = paired;
  const size =
    parts.offset[parts.count]! + 2 * table.pairs.length + table.waits.length + table.statuses.length;
  return { table, parts, size, stepUnits, errorMicros };
}

function lengthsOf(table: CodeTable): (symbol: number) => number {
  const lengths = new Map<number, number>();
  return (symbol) => {
    let length = lengths.get(symbol);
    if (length === undefined) {
      length = codeBytes(table, symbol).length;
      lengths.set(symbol, length);
    }
    return length;
  };
}
