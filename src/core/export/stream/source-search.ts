import { FAR_BYTES, NEAR_BYTES, NEAR_PARTS, referenceBytes } from './code-table.ts';
import type { Coding } from './coding.ts';
import type { LevelLimits } from './level-limits.ts';
import { DEEPEST, type GrowingParts } from './stream-parts.ts';

const CANDIDATES = 160;
const HASH_BITS = 15;
const MOST_PARTS = 255;
/** Symbols compared for one reference: a song of one bar over and over would compare itself whole each time. */
const LONGEST_MATCH = 2000;
/** A reference this long is taken as it is. */
const GOOD_MATCH = 500;
/** More bytes than any reference. */
const NONE = 255;
const MOST_DEPTH = DEEPEST - 2;

/** References that could stand at a place, at most one for each number of symbols. Good until the next search. */
export interface FoundSources {
  count: number;
  readonly length: number[];
  readonly source: number[];
  readonly parts: number[];
  readonly bytes: number[];
}

/** Where what follows at a place stands already, among the parts that are known. */
export class SourceSearch {
  readonly #symbols: Int32Array;
  /** Bytes of all symbols before each, written one by one. */
  readonly #literal: Int32Array;
  readonly #hashes: Int32Array;
  readonly #parts: GrowingParts;
  readonly #limits: LevelLimits;
  readonly #head = new Int32Array(1 << HASH_BITS).fill(-1);
  readonly #before: Int32Array;
  readonly #found: FoundSources = { count: 0, length: [], source: [], parts: [], bytes: [] };
  /** By number of symbols: bytes of the best reference so far, and what it is. */
  readonly #bytes = new Uint8Array(LONGEST_MATCH + 1);
  readonly #source = new Int32Array(LONGEST_MATCH + 1);
  readonly #count = new Int32Array(LONGEST_MATCH + 1);
  #known = 0;

  constructor(symbols: Int32Array, coding: Coding, parts: GrowingParts, limits: LevelLimits) {
    this.#symbols = symbols;
    this.#literal = new Int32Array(symbols.length + 1);
    this.#hashes = new Int32Array(symbols.length);
    for (let at = 0; at < symbols.length; at += 1) {
      this.#literal[at + 1] = this.#literal[at]! + coding.bytesOf(symbols[at]!);
      this.#hashes[at] = hashOf(symbols, at);
    }
    this.#parts = parts;
    this.#limits = limits;
    this.#before = new Int32Array(symbols.length);
  }

  /** The next part can be a source. */
  add(part: number): void {
    const hash = this.#hashes[this.#parts.raw[part]!]!;
    this.#before[part] = this.#head[hash]!;
    this.#head[hash] = part;
    this.#known = part + 1;
  }

  /** The part that was added last can be none any more. */
  forget(part: number): void {
    this.#head[this.#hashes[this.#parts.raw[part]!]!] = this.#before[part]!;
    this.#known = part;
  }

  /** References for what begins at a symbol, if they were written behind all parts that are known. */
  at(place: number): FoundSources {
    const longest = this.#look(place);
    const found = this.#found;
    const literal = this.#literal;
    found.count = 0;
    let fewest = NONE;
    // What is shorter and no cheaper than something longer is rarely wanted: only where another begins there.
    for (let length = longest; length >= 2; length -= 1) {
      const bytes = this.#bytes[length]!;
      if (bytes >= literal[place + length]! - literal[place]! || (bytes >= fewest && length >= 64)) continue;
      found.length[found.count] = length;
      found.source[found.count] = this.#source[length]!;
      found.parts[found.count] = this.#count[length]!;
      found.bytes[found.count] = bytes;
      found.count += 1;
      fewest = Math.min(fewest, bytes);
    }
    return found;
  }

  /** @returns the most symbols that a reference stands for; the best for each number are written down */
  #look(at: number): number {
    const { raw, offset, depth, entries, exits } = this.#parts;
    const symbols = this.#symbols;
    const known = this.#known;
    const before = this.#before;
    const cheapest = this.#bytes;
    const { left } = this.#limits;
    const entered = this.#limits.entered[at]!;
    const end = raw[known]!;
    let longest = 0;
    /** So many symbols and fewer cost no more than a far reference. */
    let settled = 1;
    let tries = CANDIDATES;
    for (let part = this.#head[this.#hashes[at]!]!; part >= 0 && tries > 0; part = before[part]!) {
      tries -= 1;
      if (longest >= GOOD_MATCH) break;
      if (entries[part]! >= entered) continue;
      const from = raw[part]!;
      const back = offset[known]! - offset[part]!;
      let limit = Math.min(known, part + MOST_PARTS);
      if (symbols[from + settled] !== symbols[at + settled]) {
        // It stands for no more than those: only a near one can be cheaper, with a part or two behind the first.
        if (settled < 2 || referenceBytes(back, NEAR_PARTS) > NEAR_BYTES) continue;
        limit = Math.min(limit, part + NEAR_PARTS);
      }
      const most = Math.min(end - from, LONGEST_MATCH);
      let same = 0;
      while (same < most && symbols[from + same] === symbols[at + same]) same += 1;
      for (let last = part; last < limit; last += 1) {
        const length = raw[last + 1]! - from;
        if (length > same || depth[last]! > MOST_DEPTH) break;
        if (length < 2 || exits[last]! >= left[at + length]!) continue;
        for (; longest < length; longest += 1) cheapest[longest + 1] = NONE;
        const bytes = referenceBytes(back, last - part + 1);
        if (bytes >= cheapest[length]!) continue;
        cheapest[length] = bytes;
        this.#source[length] = part;
        this.#count[length] = last - part + 1;
      }
      while (settled < longest && cheapest[settled + 1]! <= FAR_BYTES) settled += 1;
    }
    return longest;
  }
}

/** Of three symbols. */
function hashOf(symbols: Int32Array, at: number): number {
  return (
    (Math.imul(symbols[at]!, 0x9e3779b1) ^
      Math.imul(symbols[at + 1] ?? -1, 0x85ebca6b) ^
      Math.imul(symbols[at + 2] ?? -1, 0xc2b2ae35)) >>>
    (32 - HASH_BITS)
  );
}
