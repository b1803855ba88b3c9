import { isPair, isWait, SongSymbol } from './song-symbol.ts';

/** Which byte stands for which symbol. Codes 80–DF: tempo, long wait, then waits, pairs and status bytes. */
export interface CodeTable {
  /** Waits that have a code of their own, from code 82. */
  readonly waits: readonly number[];
  readonly statuses: readonly number[];
  /** Each pair as the symbols it stands for. */
  readonly pairs: readonly (readonly [number, number])[];
  readonly firstPair: number;
  readonly firstStatus: number;
}

export const CODE = { tempo: 0x80, longWait: 0x81, firstWait: 0x82, references: 0xe0 } as const;
/** Bytes that a code costs in the table beside the stream. */
const FEWEST_USES = 3;
/** Waits leave at least so many codes to pairs. */
const KEPT_FOR_PAIRS = 40;

/** Status bytes all get codes; of the waits, those that are used most; what is left is free for pairs. */
export function codeTableOf(symbols: Int32Array): CodeTable {
  const uses = new Map<number, number>();
  for (const symbol of symbols) uses.set(symbol, (uses.get(symbol) ?? 0) + 1);
  const statuses = [...uses.keys()].filter((one) => one >= 0x80 && one < 0x100).sort((a, b) => a - b);
  const room = CODE.references - CODE.firstWait - statuses.length;
  const waits = [...uses]
    .filter(([one, count]) => isWait(one) && count >= FEWEST_USES)
    .sort((a, b) => b[1] - a[1] || a[0] - b[0])
    .slice(0, Math.max(0, room - KEPT_FOR_PAIRS))
    .map(([one]) => one - SongSymbol.wait);
  return withPairs({ waits, statuses }, []);
}

export function withPairs(
  { waits, statuses }: Pick<CodeTable, 'waits' | 'statuses'>,
  pairs: CodeTable['pairs'],
): CodeTable {
  const firstStatus = CODE.references - statuses.length;
  return { waits, statuses, pairs, firstPair: firstStatus - pairs.length, firstStatus };
}

/** How many pairs the table can still take. */
export function freeCodes(table: CodeTable): number {
  return table.firstPair - CODE.firstWait - table.waits.length;
}

/** The bytes a symbol is written as. */
export function codeBytes(table: CodeTable, symbol: number): readonly number[] {
  if (symbol < 0x80) return [symbol];
  if (symbol < 0x100) return [table.firstStatus + table.statuses.indexOf(symbol)];
  if (isPair(symbol)) return [table.firstPair + symbol - SongSymbol.pair];
  if (!isWait(symbol)) {
    const step = 0x1_0000 - (symbol - SongSymbol.tempo);
    return [CODE.tempo, step & 0xff, (step >> 8) & 0xff];
  }
  const place = table.waits.indexOf(symbol - SongSymbol.wait);
  return place < 0 ? [CODE.longWait, symbol - SongSymbol.wait] : [CODE.firstWait + place];
}
