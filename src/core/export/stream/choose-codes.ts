import { type CodeTable, codeTable, TABLE_CODES, tableBytes } from './code-table.ts';
import { type Coding, codingOf } from './coding.ts';
import type { LevelLimits } from './level-limits.ts';
import { evenOutlook, type Outlook, outlookOf } from './outlook.ts';
import { referencedParts } from './references.ts';
import { isPair, isWait, SongSymbol } from './song-symbol.ts';
import type { ReferencedParts } from './stream-parts.ts';

/** Rounds in which pairs are added, in which the table settles, and in which the references do. */
interface Rounds {
  readonly growing: number;
  readonly settling: number;
  readonly polishing: number;
}
const ROUNDS: Rounds = { growing: 8, settling: 4, polishing: 5 };
/** Enough to hold one way of writing a song against another. */
export const FEW_ROUNDS: Rounds = { growing: 3, settling: 1, polishing: 0 };
/** So many symbols of a song decide on its table. */
const DECIDING = 60_000;
/** More than this goes through the whole song once only: it does not fit any memory. */
const LONG = 150_000;
/** A pair's two bytes of table, and one more so that it is worth its code. */
const FEWEST_PAIRS = 3;

export interface PackedSymbols {
  readonly table: CodeTable;
  readonly parts: ReferencedParts;
  /** What the parts were chosen by: good for choosing again within other limits. */
  readonly outlook: Outlook;
  readonly size: number;
}

/** Waits and status bytes with a code each, as many as there is room for; the most used first. */
export function plainTable(symbols: Int32Array): CodeTable {
  const uses = new Map<number, number>();
  for (const symbol of symbols) if (hasCode(symbol)) count(uses, symbol);
  return tableOf(new Map([...uses].map(([symbol, used]) => [symbol, used - 1])), []);
}

/**
 * Waits, status bytes and pairs share the codes of a table: each gets one by how often references leave it standing.
 * That depends on the references, and these on the table and on what they cost further on, so it goes round many
 * times; the smallest is taken.
 */
export function packedSymbols(
  symbols: Int32Array,
  limits: LevelLimits,
  { growing, settling, polishing }: Rounds = ROUNDS,
): PackedSymbols {
  const deciding = symbols.subarray(0, DECIDING);
  let table = plainTable(deciding);
  // Looked for only when something is packed by it.
  let outlookNow = () => evenOutlook(deciding.length);
  let best: PackedSymbols | undefined;
  const pack = (part: Int32Array): PackedSymbols => {
    const coding = codingOf(table);
    const outlook = outlookNow();
    const parts = referencedParts(part, coding, outlook, limits);
    const packed = { table, parts, outlook, size: parts.offset[parts.count]! + tableBytes(table) };
    if (best === undefined || packed.size < best.size) best = packed;
    outlookNow = () => outlookOf(part, coding, parts, limits);
    return packed;
  };
  for (let round = 0; round < growing + settling; round += 1) {
    const { parts } = pack(deciding);
    const most = Math.ceil((TABLE_CODES * Math.min(growing, round + 1)) / growing);
    // A table is given a second round to settle in.
    if (round < growing || (round - growing) % 2 === 0)
      table = nextTable(table, codingOf(table), parts, most);
  }
  table = best!.table;
  if (deciding.length < symbols.length) {
    outlookNow = () => evenOutlook(symbols.length);
    best = undefined;
    pack(symbols);
  }
  if (symbols.length <= LONG) for (let round = 0; round < polishing; round += 1) pack(symbols);
  return best!;
}

/** @param most pairs that there may be behind this */
function nextTable(
  table: CodeTable,
  coding: Coding,
  { symbol, count: parts }: ReferencedParts,
  most: number,
): CodeTable {
  const worth = new Map<number, number>();
  const together = new Map<number, number>();
  for (let part = 0; part < parts; part += 1) {
    const one = symbol[part]!;
    if (hasCode(one)) count(worth, one);
    const other = part + 1 < parts ? symbol[part + 1]! : -1;
    if (one < 0 || other < 0 || isWide(one) || isWide(other)) continue;
    count(together, one * SongSymbol.end + other);
    // Of three of a kind only two make a pair.
    if (one === other && part + 2 < parts && symbol[part + 2] === one) part += 1;
  }
  function isWide(one: number): boolean {
    return one >= 0x80 && !isPair(one) && coding.bytesOf(one) > 1;
  }
  for (const [one, uses] of worth) worth.set(one, uses - (isPair(one) ? 2 : 1));
  const pairs = table.pairs.map((pair) => pair);
  const known = new Set(pairs.map(([first, second]) => first * SongSymbol.end + second));
  const added = [...together]
    .filter(([key, uses]) => uses > FEWEST_PAIRS && !known.has(key))
    .sort((a, b) => b[1] - a[1] || a[0] - b[0])
    .slice(0, Math.max(0, most - pairs.length));
  for (const [key, uses] of added) {
    worth.set(SongSymbol.pair + pairs.length, uses - 2);
    pairs.push([Math.floor(key / SongSymbol.end), key % SongSymbol.end]);
  }
  return tableOf(worth, pairs);
}

/** The table of what is worth most. What a pair is made of needs codes of its own. */
function tableOf(worth: ReadonlyMap<number, number>, pairs: CodeTable['pairs']): CodeTable {
  const taken = new Set<number>();
  const needs = (symbol: number): number[] => {
    if (!hasCode(symbol) || taken.has(symbol)) return [];
    const parts = isPair(symbol) ? pairs[symbol - SongSymbol.pair]!.flatMap(needs) : [];
    return [...new Set([...parts, symbol])];
  };
  const ranked = [...worth].filter(([, gain]) => gain > 0).sort((a, b) => b[1] - a[1] || a[0] - b[0]);
  for (const [symbol] of ranked) {
    const needed = needs(symbol);
    if (taken.size + needed.length > TABLE_CODES) continue;
    for (const one of needed) taken.add(one);
  }
  const all = [...taken];
  const places = new Map(all.filter(isPair).map((one, place) => [one, SongSymbol.pair + place]));
  return codeTable(
    all.filter(isWait).map((one) => one - SongSymbol.wait),
    all.filter((one) => one < 0x100).sort((a, b) => a - b),
    all.filter(isPair).map((one) => {
      const [first, second] = pairs[one - SongSymbol.pair]!;
      return [places.get(first) ?? first, places.get(second) ?? second] as const;
    }),
  );
}

/** Data bytes are their own code, and the end has one. */
function hasCode(symbol: number): boolean {
  return symbol >= 0x80 && symbol < SongSymbol.end;
}

function count(uses: Map<number, number>, key: number): void {
  uses.set(key, (uses.get(key) ?? 0) + 1);
}
