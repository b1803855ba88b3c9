import { referenceBytes } from './code-table.ts';
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
  readonly #coding: Coding;
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
    this.#coding = coding;
    this.#parts = parts;
    this.#limits = limits;
    this.#before = new Int32Array(symbols.length);
  }

  /** The next part can be a source. */
  add(part: number): void {
    const hash = this.#hash(this.#parts.raw[part]!);
    this.#before[part] = this.#head[hash]!;
    this.#head[hash] = part;
    this.#known = part + 1;
  }

  /** The part that was added last can be none any more. */
  forget(part: number): void {
    this.#head[this.#hash(this.#parts.raw[part]!)] = this.#before[part]!;
    this.#known = part;
  }

  /** References for what begins at a symbol, if they were written behind all parts that are known. */
  at(place: number): FoundSources {
    const longest = this.#look(place);
    const found = this.#found;
    found.count = 0;
    let fewest = NONE;
    let literal = 0;
    // What is shorter and no cheaper than something longer is rarely wanted: only where another begins there.
    for (let length = 1; length <= longest; length += 1)
      literal += this.#coding.bytesOf(this.#symbols[place + length - 1]!);
    for (let length = longest; length >= 2; length -= 1) {
      const bytes = this.#bytes[length]!;
      if (bytes < literal && (bytes < fewest || length < 64)) {
        found.length[found.count] = length;
        found.source[found.count] = this.#source[length]!;
        found.parts[found.count] = this.#count[length]!;
        found.bytes[found.count] = bytes;
        found.count += 1;
        fewest = Math.min(fewest, bytes);
      }
      literal -= this.#coding.bytesOf(this.#symbols[place + length - 1]!);
    }
    return found;
  }

  /** @returns the most symbols that a reference stands for; the best for each number are written down */
  #look(at: number): number {
    const { raw, offset, depth, entries, exits } = this.#parts;
    const symbols = this.#symbols;
    const known = this.#known;
    const { entered, left } = this.#limits;
    let longest = 0;
    let tries = CANDIDATES;
    for (let part = this.#head[this.#hash(at)]!; part >= 0 && tries > 0; part = this.#before[part]!) {
      tries -= 1;
      if (longest >= GOOD_MATCH) break;
      if (entries[part]! >= entered[at]!) continue;
      const from = raw[part]!;
      const most = Math.min(raw[known]! - from, LONGEST_MATCH);
      let same = 0;
      while (same < most && symbols[from + same] === symbols[at + same]) same += 1;
      const limit = Math.min(MOST_PARTS, known - part);
      for (let parts = 0; parts < limit; ) {
        const length = raw[part + parts + 1]! - from;
        if (length > same || depth[part + parts]! >= DEEPEST - 1) break;
        parts += 1;
        if (length < 2 || exits[part + parts - 1]! >= left[at + length]!) continue;
        const bytes = referenceBytes(offset[known]! - offset[part]!, parts);
        while (longest < length) {
          longest += 1;
          this.#bytes[longest] = NONE;
        }
        if (bytes >= this.#bytes[length]!) continue;
        this.#bytes[length] = bytes;
        this.#source[length] = part;
        this.#count[length] = parts;
      }
    }
    return longest;
  }

  #hash(at: number): number {
    const symbols = this.#symbols;
    return (
      (Math.imul(symbols[at]!, 0x9e3779b1) ^
        Math.imul(symbols[at + 1] ?? -1, 0x85ebca6b) ^
        Math.imul(symbols[at + 2] ?? -1, 0xc2b2ae35)) >>>
      (32 - HASH_BITS)
    );
  }
}
