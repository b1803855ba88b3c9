import { isPair } from './song-symbol.ts';

/** A sequence of symbols with what occurred before left out. Parts stand in the order they are written. */
export interface ReferencedParts {
  readonly count: number;
  /** Symbol of a literal, or −1 for a reference. */
  readonly symbol: Int32Array;
  /** For a reference: part it begins with, and how many. */
  readonly source: Int32Array;
  readonly length: Int32Array;
  /** Where the part's bytes begin; `offset[count]` is the length of all. */
  readonly offset: Int32Array;
}

/** References within references, so that a stack of four bytes each holds them. */
export const DEEPEST = 8;

/**
 * Levels that may be entered, or left, between two bytes. Each costs the player time that a burst has not got; of the
 * limits tried this is the one that keeps the latest byte of all songs below a millisecond at 2 MHz.
 */
const MOST_AT_ONCE = 3;

const CANDIDATES = 160;
const HASH_BITS = 15;
const MOST_PARTS = 255;
/** Symbols compared for one reference: a song of one bar over and over would compare itself whole each time. */
const LONGEST_MATCH = 2000;
/** A reference this long is taken as it is. */
const GOOD_MATCH = 500;

/**
 * Replaces what stands there already by references to it. A reference names a place in what has been written and a
 * number of parts there, which may be references in turn: nothing of the past has to be kept in memory. Greedy,
 * with one look ahead; a reference must save a byte over its parts as literals.
 * @param bytesOf length of a symbol as it is written
 */
export function referencedParts(symbols: Int32Array, bytesOf: (symbol: number) => number): ReferencedParts {
  const total = symbols.length;
  const symbol = new Int32Array(total);
  const source = new Int32Array(total);
  const length = new Int32Array(total);
  const offset = new Int32Array(total + 1);
  const raw = new Int32Array(total + 1);
  const depth = new Uint8Array(total);
  const entries = new Uint8Array(total);
  const exits = new Uint8Array(total);
  const cost = new Int32Array(total + 1);
  for (let at = 0; at < total; at += 1) cost[at + 1] = cost[at]! + bytesOf(symbols[at]!);
  const head = new Int32Array(1 << HASH_BITS).fill(-1);
  const before = new Int32Array(total).fill(-1);
  let count = 0;
  const hashAt = (at: number) =>
    (Math.imul(symbols[at]!, 0x9e3779b1) ^
      Math.imul(symbols[at + 1] ?? -1, 0x85ebca6b) ^
      Math.imul(symbols[at + 2] ?? -1, 0xc2b2ae35)) >>>
    (32 - HASH_BITS);
  const found = { gain: 0, source: 0, parts: 0, end: 0, depth: 0 };

  /** Best reference for what stands at `at`, into `found`. `writeAt` is where it would be written. */
  const search = (at: number, writeAt: number) => {
    found.gain = 0;
    found.end = at;
    let tries = CANDIDATES;
    for (
      let part = head[hashAt(at)]!;
      part >= 0 && tries > 0 && found.end - at < GOOD_MATCH;
      part = before[part]!
    ) {
      tries -= 1;
      if (entries[part]! >= MOST_AT_ONCE) continue;
      const from = raw[part]!;
      const most = Math.min(total - at, raw[count]! - from, LONGEST_MATCH);
      let same = 0;
      while (same < most && symbols[from + same] === symbols[at + same]) same += 1;
      let parts = 0;
      let deep = 0;
      let covered = 0;
      let whole = 0;
      const limit = Math.min(MOST_PARTS, count - part);
      while (parts < limit) {
        const next = raw[part + parts + 1]! - from;
        if (next > same || depth[part + parts]! >= DEEPEST - 1) break;
        deep = Math.max(deep, depth[part + parts]!);
        parts += 1;
        if (exits[part + parts - 1]! >= MOST_AT_ONCE) continue;
        covered = next;
        whole = parts;
      }
      if (whole === 0) continue;
      const bytes = referenceBytes(writeAt - offset[part]!, whole);
      const gain = cost[at + covered]! - cost[at]! - bytes;
      if (gain > found.gain) {
        found.gain = gain;
        found.source = part;
        found.parts = whole;
        found.end = at + covered;
        found.depth = deep + 1;
      }
    }
  };
  const write = (at: number, end: number, bytes: number) => {
    raw[count] = at;
    raw[count + 1] = end;
    offset[count + 1] = offset[count]! + bytes;
    const hash = hashAt(at);
    before[count] = head[hash]!;
    head[hash] = count;
    count += 1;
  };
  const literal = (at: number) => {
    symbol[count] = symbols[at]!;
    const isLevel = isPair(symbols[at]!) ? 1 : 0;
    depth[count] = isLevel;
    entries[count] = isLevel;
    exits[count] = isLevel;
    write(at, at + 1, cost[at + 1]! - cost[at]!);
  };
  for (let at = 0; at < total; ) {
    search(at, offset[count]!);
    if (found.gain === 0) {
      literal(at);
      at += 1;
      continue;
    }
    const best = { ...found };
    if (best.end - at < GOOD_MATCH) search(at + 1, offset[count]! + cost[at + 1]! - cost[at]!);
    if (found.gain > best.gain) {
      literal(at);
      at += 1;
      continue;
    }
    symbol[count] = -1;
    source[count] = best.source;
    length[count] = best.parts;
    depth[count] = best.depth;
    entries[count] = entries[best.source]! + 1;
    exits[count] = exits[best.source + best.parts - 1]! + 1;
    write(at, best.end, referenceBytes(offset[count]! - offset[best.source]!, best.parts));
    at = best.end;
  }
  return { count, symbol, source, length, offset };
}

/** @param back from the reference's own first byte to what it names */
export function referenceBytes(back: number, parts: number): number {
  if (parts >= 2 && parts <= 17 && back <= 254) return 2;
  return parts >= 3 && parts <= 17 ? 3 : 4;
}
