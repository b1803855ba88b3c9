import type { CodeTable } from '../../../../src/core/export/stream/code-table.ts';
import type { Coding } from '../../../../src/core/export/stream/coding.ts';
import type { LevelLimits } from '../../../../src/core/export/stream/level-limits.ts';
import { SongSymbol } from '../../../../src/core/export/stream/song-symbol.ts';
import { GrowingParts } from '../../../../src/core/export/stream/stream-parts.ts';

/**
 * A stream as docs/stream.md has it, told without the packer's columns and searches: what a part stands for is a tree,
 * and every way to go on is tried. The yardstick of the packer, for songs of some dozen symbols.
 */
export interface PlainPart {
  readonly tree: Tree;
  readonly bytes: number;
  /** Of a literal or a pair. */
  readonly symbol?: number;
  /** Of a reference: the first part it names, and how many. */
  readonly source?: number;
  readonly count?: number;
}
/** A plain symbol, or what a pair or a reference holds. */
export type Tree = number | readonly Tree[];
export type Table = Pick<CodeTable, 'waits' | 'statuses' | 'pairs'>;

/** Levels within one another. */
export const deepestOf = (tree: Tree): number =>
  typeof tree === 'number' ? 0 : 1 + Math.max(...tree.map(deepestOf));
export const entriesOf = (tree: Tree): number => (typeof tree === 'number' ? 0 : 1 + entriesOf(tree[0]!));
export const exitsOf = (tree: Tree): number => (typeof tree === 'number' ? 0 : 1 + exitsOf(tree.at(-1)!));
export const plainOf = (tree: Tree): number[] => (typeof tree === 'number' ? [tree] : tree.flatMap(plainOf));

export const lengthOf = (parts: readonly PlainPart[]) => parts.reduce((sum, { bytes }) => sum + bytes, 0);
export const symbolsIn = (parts: readonly PlainPart[]) =>
  parts.reduce((sum, { tree }) => sum + plainOf(tree).length, 0);

/** A data byte is itself; what the table has is one byte, and what it has not is two. */
export function literalBytes({ waits, statuses }: Table, symbol: number): number {
  if (symbol < 0x80 || statuses.includes(symbol) || waits.includes(symbol - SongSymbol.wait)) return 1;
  return 2;
}

/** 2 and 3 symbols from at most twelve pages before the next symbol, up to 8 by an address, more by a number beside it. */
function referenceBytes(back: number, count: number): number {
  if ((count === 2 || count === 3) && back + 2 <= 12 * 256) return 2;
  return count >= 2 && count <= 8 ? 3 : 4;
}

const pairTree = (table: Table, symbol: number): Tree =>
  symbol < SongSymbol.pair || symbol >= SongSymbol.end
    ? symbol
    : table.pairs[symbol - SongSymbol.pair]!.map((one) => pairTree(table, one));

/** What may stand next behind the parts; a reference only where it is no longer than what it stands for. */
export function* choices(
  song: readonly number[],
  parts: readonly PlainPart[],
  table: Table,
  limits: LevelLimits,
  at = symbolsIn(parts),
): Generator<PlainPart> {
  const isThere = (tree: Tree) => plainOf(tree).every((one, place) => song[at + place] === one);
  const isWithin = (tree: Tree) =>
    entriesOf(tree) <= limits.entered[at]! && exitsOf(tree) <= limits.left[at + plainOf(tree).length]!;
  yield { tree: song[at]!, bytes: literalBytes(table, song[at]!), symbol: song[at]! };
  for (const index of table.pairs.keys()) {
    const symbol = SongSymbol.pair + index;
    const tree = pairTree(table, symbol);
    if (isThere(tree) && isWithin(tree)) yield { tree, bytes: 1, symbol };
  }
  for (const source of parts.keys())
    for (let count = 1; count <= Math.min(255, parts.length - source); count += 1) {
      const tree = parts.slice(source, source + count).map((part) => part.tree);
      if (!isThere(tree) || deepestOf(tree) > 7) break;
      if (plainOf(tree).length < 2 || !isWithin(tree)) continue;
      const bytes = referenceBytes(lengthOf(parts.slice(source)), count);
      yield { tree, bytes, source, count };
    }
}

/**
 * Of the references that may stand at a place those that are worth looking at: for each number of symbols the shortest, the
 * nearest of them, where it is shorter than the symbols themselves. What it names begins with the same three symbols.
 */
export function sources(
  song: readonly number[],
  parts: readonly PlainPart[],
  table: Table,
  limits: LevelLimits,
  at: number,
): { readonly length: number; readonly part: PlainPart }[] {
  const best = new Map<number, PlainPart>();
  for (const part of choices(song, parts, table, limits, at)) {
    if (part.source === undefined) continue;
    const from = symbolsIn(parts.slice(0, part.source));
    if ([0, 1, 2].some((place) => song[from + place] !== song[at + place])) continue;
    const length = plainOf(part.tree).length;
    const known = best.get(length);
    if (known === undefined || part.bytes <= known.bytes) best.set(length, part);
  }
  const literal = (length: number) =>
    song.slice(at, at + length).reduce((sum, one) => sum + literalBytes(table, one), 0);
  return [...best]
    .filter(([length, { bytes }]) => bytes < literal(length))
    .sort(([a], [b]) => b - a)
    .map(([length, part]) => ({ length, part }));
}

/** The same parts in the packer's columns. */
export function grown(parts: readonly PlainPart[], coding: Coding): GrowingParts {
  const all = new GrowingParts(parts.length + 1);
  for (const { symbol, bytes, source, count } of parts) {
    if (symbol === undefined) all.reference(source!, count!);
    else if (symbol >= SongSymbol.pair && symbol < SongSymbol.end) all.phrase(coding.phraseOf(symbol));
    else all.literal(symbol, bytes);
  }
  return all;
}

/** Parts of a song, each the one of all there may be that a number picks. */
export function partsPicked(
  song: readonly number[],
  table: Table,
  limits: LevelLimits,
  picks: readonly number[],
): PlainPart[] {
  const parts: PlainPart[] = [];
  for (let at = 0; at < song.length; at = symbolsIn(parts)) {
    const all = [...choices(song, parts, table, limits)];
    parts.push(all[(picks[parts.length % picks.length] ?? 0) % all.length]!);
  }
  return parts;
}

/** The fewest bytes that a song can be written in with a table. @param atMost what is larger is not looked for */
export function smallestStream(
  song: readonly number[],
  table: Table,
  limits: LevelLimits,
  atMost: number,
): number {
  let smallest = atMost;
  const goOn = (parts: readonly PlainPart[], at: number, bytes: number): void => {
    if (at === song.length) {
      smallest = Math.min(smallest, bytes);
      return;
    }
    if (bytes + 1 >= smallest) return;
    for (const part of choices(song, parts, table, limits, at))
      goOn([...parts, part], at + plainOf(part.tree).length, bytes + part.bytes);
  };
  goOn([], 0, 0);
  return smallest;
}
