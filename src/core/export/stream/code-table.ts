import { isPair, isWait, SongSymbol } from './song-symbol.ts';

/** Which byte stands for which symbol. Codes from 80 on: any byte, any wait, then waits, pairs and status bytes of the table. */
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

/** References of two bytes reach so many pages back; each page has two codes. More reach further, and leave a table fewer. */
const NEAR_PAGES = 12;
/** And stand for so many parts at most. */
export const NEAR_PARTS = 3;
/** Bytes of such a reference, and the fewest of one that names an address. */
export const NEAR_BYTES = 2;
export const FAR_BYTES = 3;
/** Codes of references that name an address: one for each number of parts from 2 on, the last for any number. */
export const FAR_CODES = 8;
export const CODE = {
  whole: 0x80,
  longWait: 0x81,
  firstWait: 0x82,
  references: 0x100 - 2 * NEAR_PAGES - FAR_CODES,
} as const;
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

/**
 * @param back from the reference's own first byte to what it names
 * @param parts how many there; one is rarely worth it
 */
export function referenceBytes(back: number, parts: number): number {
  if (parts === 1) return 4;
  if (parts <= NEAR_PARTS && back <= 0x100 * NEAR_PAGES - 2) return NEAR_BYTES;
  return parts <= FAR_CODES ? FAR_BYTES : 4;
}

/** @param at where the reference is written, and `target` what it names; addresses both */
export function referenceCode(at: number, target: number, parts: number): readonly number[] {
  const far = [target & 0xff, target >> 8];
  const size = referenceBytes(at - target, parts);
  if (size === 4) return [CODE.references + FAR_CODES - 1, parts, ...far];
  if (size === 3) return [CODE.references + parts - 2, ...far];
  const back = target - at - 2;
  return [(((back >> 8) << 1) & 0xff) | (parts - 2), back & 0xff];
}
