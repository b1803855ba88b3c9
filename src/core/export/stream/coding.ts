import { type CodeTable, codeBytes } from './code-table.ts';
import type { LevelLimits } from './level-limits.ts';
import { isPair, SongSymbol } from './song-symbol.ts';

/** A pair as what it is in the end: plain symbols, one after the other. */
export interface Phrase {
  readonly symbol: number;
  readonly symbols: readonly number[];
  /** Levels in it at its deepest, at its beginning and at its end. */
  readonly depth: number;
  readonly entries: number;
  readonly exits: number;
}

/** A table of codes as the search for references asks it. */
export interface Coding {
  bytesOf(symbol: number): number;
  /** The phrases that begin with a symbol. */
  phrasesFrom(symbol: number): readonly Phrase[];
  phraseOf(symbol: number): Phrase;
}

const NONE: readonly Phrase[] = [];

export function codingOf(table: CodeTable): Coding {
  const lengths = Uint8Array.from(
    { length: SongSymbol.pair },
    (_, symbol) => codeBytes(table, symbol).length,
  );
  const phrases: Phrase[] = [];
  const byFirst = new Map<number, Phrase[]>();
  for (const [index, [first, second]] of table.pairs.entries()) {
    const one = levelsOf(first);
    const other = levelsOf(second);
    const phrase: Phrase = {
      symbol: SongSymbol.pair + index,
      symbols: [...one.symbols, ...other.symbols],
      depth: 1 + Math.max(one.depth, other.depth),
      entries: 1 + one.entries,
      exits: 1 + other.exits,
    };
    phrases.push(phrase);
    const own = byFirst.get(phrase.symbols[0]!) ?? [];
    own.push(phrase);
    byFirst.set(phrase.symbols[0]!, own);
  }
  function levelsOf(symbol: number): Omit<Phrase, 'symbol'> {
    if (isPair(symbol)) return phrases[symbol - SongSymbol.pair]!;
    return { symbols: [symbol], depth: 0, entries: 0, exits: 0 };
  }
  return {
    bytesOf: (symbol) => lengths[symbol] ?? codeBytes(table, symbol).length,
    phrasesFrom: (symbol) => byFirst.get(symbol) ?? NONE,
    phraseOf: (symbol) => phrases[symbol - SongSymbol.pair]!,
  };
}

/** Whether a phrase is what a song has at a place, with no more levels before and behind it than there may be. */
export function stands(
  symbols: Int32Array,
  at: number,
  { symbols: own, entries, exits }: Phrase,
  { entered, left }: LevelLimits,
): boolean {
  if (at + own.length > symbols.length) return false;
  for (let place = 1; place < own.length; place += 1) if (symbols[at + place] !== own[place]) return false;
  return entries <= entered[at]! && exits <= left[at + own.length]!;
}
