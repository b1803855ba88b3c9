import { referenceBytes } from './code-table.ts';
import type { Phrase } from './coding.ts';

/** A sequence of symbols with what occurred before left out. Parts stand in the order they are written. */
export interface ReferencedParts {
  readonly count: number;
  /** Symbol of a literal or a pair, or −1 for a reference. */
  readonly symbol: Int32Array;
  /** For a reference: part it begins with, and how many. */
  readonly source: Int32Array;
  readonly length: Int32Array;
  /** Where the part's bytes begin; `offset[count]` is the length of all. */
  readonly offset: Int32Array;
  /** The first plain symbol that a part stands for; `raw[count]` is how many there are. */
  readonly raw: Int32Array;
  /** Levels in a part at its beginning and at its end. */
  readonly entries: Uint8Array;
  readonly exits: Uint8Array;
}

/** References within references, so that a stack of four bytes each holds them. */
export const DEEPEST = 8;

/** Parts as they are written one by one. */
export class GrowingParts implements ReferencedParts {
  count = 0;
  readonly symbol: Int32Array;
  readonly source: Int32Array;
  readonly length: Int32Array;
  readonly offset: Int32Array;
  readonly raw: Int32Array;
  /** Levels in a part at its deepest. */
  readonly depth: Uint8Array;
  readonly entries: Uint8Array;
  readonly exits: Uint8Array;

  constructor(most: number) {
    this.symbol = new Int32Array(most);
    this.source = new Int32Array(most);
    this.length = new Int32Array(most);
    this.offset = new Int32Array(most + 1);
    this.raw = new Int32Array(most + 1);
    this.depth = new Uint8Array(most);
    this.entries = new Uint8Array(most);
    this.exits = new Uint8Array(most);
  }

  literal(symbol: number, bytes: number): void {
    this.symbol[this.count] = symbol;
    this.#write(1, bytes);
  }

  phrase({ symbol, symbols, depth, entries, exits }: Phrase): void {
    this.symbol[this.count] = symbol;
    this.depth[this.count] = depth;
    this.entries[this.count] = entries;
    this.exits[this.count] = exits;
    this.#write(symbols.length, 1);
  }

  reference(source: number, parts: number): void {
    const { count, depth } = this;
    this.symbol[count] = -1;
    this.source[count] = source;
    this.length[count] = parts;
    let deep = 0;
    for (let part = source; part < source + parts; part += 1) deep = Math.max(deep, depth[part]!);
    depth[count] = deep + 1;
    this.entries[count] = this.entries[source]! + 1;
    this.exits[count] = this.exits[source + parts - 1]! + 1;
    this.#write(
      this.raw[source + parts]! - this.raw[source]!,
      referenceBytes(this.offset[count]! - this.offset[source]!, parts),
    );
  }

  #write(symbols: number, bytes: number): void {
    this.raw[this.count + 1] = this.raw[this.count]! + symbols;
    this.offset[this.count + 1] = this.offset[this.count]! + bytes;
    this.count += 1;
  }
}
