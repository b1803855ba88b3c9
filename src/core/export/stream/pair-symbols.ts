import { type CodeTable, freeCodes, withPairs } from './code-table.ts';
import { referencedParts } from './references.ts';
import { SongSymbol } from './song-symbol.ts';

const ROUNDS = 4;
/** A pair costs two bytes of table. */
const FEWEST_USES = 4;

/** Gives codes to the pairs of symbols that references leave most often, and puts them in. */
export function pairedSymbols(
  symbols: Int32Array,
  plain: CodeTable,
  bytesOf: (symbol: number) => number,
): { readonly symbols: Int32Array; readonly table: CodeTable } {
  const pairs: [number, number][] = [];
  let current = symbols;
  for (let round = 0; round < ROUNDS; round += 1) {
    const room = freeCodes(plain) - pairs.length;
    if (room <= 0) break;
    const uses = new Map<number, number>();
    const parts = referencedParts(current, bytesOf);
    for (let part = 0; part + 1 < parts.count; part += 1) {
      const first = parts.symbol[part]!;
      const second = parts.symbol[part + 1]!;
      if (first < 0 || second < 0 || bytesOf(first) > 1 || bytesOf(second) > 1) continue;
      const key = first * SongSymbol.tempo + second;
      uses.set(key, (uses.get(key) ?? 0) + 1);
    }
    const best = [...uses]
      .filter(([, count]) => count >= FEWEST_USES)
      .sort((a, b) => b[1] - a[1] || a[0] - b[0])
      .slice(0, Math.ceil(room / (ROUNDS - round)));
    if (best.length === 0) break;
    const places = new Map<number, number>();
    for (const [key] of best) {
      places.set(key, SongSymbol.pair + pairs.length);
      pairs.push([Math.floor(key / SongSymbol.tempo), key % SongSymbol.tempo]);
    }
    current = replaced(current, places);
  }
  return { symbols: current, table: withPairs(plain, pairs) };
}

function replaced(symbols: Int32Array, places: ReadonlyMap<number, number>): Int32Array {
  const out = new Int32Array(symbols.length);
  let count = 0;
  for (let at = 0; at < symbols.length; at += 1) {
    const pair =
      at + 1 < symbols.length ? places.get(symbols[at]! * SongSymbol.tempo + symbols[at + 1]!) : undefined;
    out[count] = pair ?? symbols[at]!;
    if (pair !== undefined) at += 1;
    count += 1;
  }
  return out.slice(0, count);
}
