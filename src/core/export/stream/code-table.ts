import { isPair, isWait, SongSymbol } from './song-symbol.ts';

/** Which byte stands for which symbol. Codes 80–DF: any byte, any wait, then waits, pairs and status bytes of the table. */
export interface CodeTable {
  /** Waits that have a code of their own, from code 82. */
  readonly waits: readonly number[];
  /** Status bytes that have one; the others are written whole. */
  readonly statuses: readonly number[];
  /** Each pair as the symbols it stands for. */
  readonly pairs: readonly (readonly [number, number])[];
  readonly firstPair: number;
  readonly firstStatus: number;
}

export const CODE = { whole: 0x80, longWait: 0x81, firstWait: 0x82, references: 0xe0 } as const;
/** Codes that a table has. */
export const TABLE_CODES = CODE.references - CODE.firstWait;

export function codeTable(
  waits: readonly number[],
  statuses: readonly number[],
  pairs: CodeTable['pairs'],
): CodeTable {
  const firstStatus = CODE.references - statuses.length;
  return { waits, statuses, pairs, firstPair: firstStatus - pairs.length, firstStatus };
}

/** Bytes of the tables beside the stream. */
export function tableBytes({ waits, statuses, pairs }: CodeTable): number {
  return waits.length + statuses.length + 2 * pairs.length;
}

/** The bytes a symbol is written as. */
export function codeBytes(table: CodeTable, symbol: number): readonly number[] {
  if (symbol < 0x80) return [symbol];
  if (isPair(symbol)) return [table.firstPair + symbol - SongSymbol.pair];
  if (isWait(symbol)) {
    const place = table.waits.indexOf(symbol - SongSymbol.wait);
    return place < 0 ? [CODE.longWait, symbol - SongSymbol.wait] : [CODE.firstWait + place];
  }
  if (symbol === SongSymbol.end) return [CODE.whole, 0];
  const place = table.statuses.indexOf(symbol);
  return place < 0 ? [CODE.whole, symbol] : [table.firstStatus + place];
}
