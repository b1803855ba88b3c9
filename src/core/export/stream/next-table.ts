import { type CodeTable, codeTable, TABLE_CODES } from './code-table.ts';
import { codingOf } from './coding.ts';
import { isPair, isWait, SongSymbol } from './song-symbol.ts';
import type { ReferencedParts } from './stream-parts.ts';

/** A pair's two bytes of table, and one more so that it is worth its code. */
const FEWEST_PAIRS = 3;

/** Waits and status bytes with a code each, as many as there is room for; the most used first. */
export function plainTable(symbols: Int32Array): CodeTable {
  const uses = new Map<number, number>();
  for (const symbol of symbols) count(uses, symbol);
  return tableOf(new Map([...uses].map(([symbol, used]) => [symbol, used - 1])), []);
}

/**
 * The table of what the parts leave standing, by how often, with pairs of what stands together often.
 * @param most pairs that there may be behind this
 */
export function nextTable(
  table: CodeTable,
  { symbol, count: parts }: ReferencedParts,
  most: number,
): CodeTable {
  const coding = codingOf(table);
  const worth = new Map<number, number>();
  const together = new Map<number, number>();
  for (const one of symbol.subarray(0, parts)) count(worth, one);
  for (let part = 0; part + 1 < parts; part += 1) {
    const one = symbol[part]!;
    const other = symbol[part + 1]!;
    if (one < 0 || other < 0 || coding.bytesOf(one) > 1 || coding.bytesOf(other) > 1) continue;
    count(together, one * SongSymbol.end + other);
    // Of three of a kind only two make a pair.
    if (one === other && symbol[part + 2] === one) part += 1;
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
    all.filter((one) => !isWait(one) && !isPair(one)).sort((a, b) => a - b),
    all.filter(isPair).map((one) => {
      const [first, second] = pairs[one - SongSymbol.pair]!;
      return [places.get(first) ?? first, places.get(second) ?? second] as const;
    }),
  );
}

/** Data bytes are their own code, and the end has one. */
function hasCode(symbol: number): boolean {
  return symbol >= 0x80 && symbol !== SongSymbol.end;
}

function count(uses: Map<number, number>, key: number): void {
  uses.set(key, (uses.get(key) ?? 0) + 1);
}
