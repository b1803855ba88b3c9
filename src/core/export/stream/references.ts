import type { Coding, Phrase } from './coding.ts';
import type { LevelLimits } from './level-limits.ts';
import { SourceSearch } from './source-search.ts';
import { GrowingParts, type ReferencedParts, referenceBytes } from './stream-parts.ts';

/** What was looked up for a place further on is good until so many more parts are written. */
const STALE = 6;
/** A symbol past what is looked at counts as so much of what one has cost so far; of 0.5 to 1.3 the best. */
const RATE = 0.7;

/**
 * Replaces what stands there already by references to it. A reference names a place in what has been written and a
 * number of parts there, which may be references in turn: nothing of the past has to be kept in memory. Of all ways
 * through the next `ahead` symbols the one of fewest bytes is looked for, its first part written, and so on.
 */
export function referencedParts(
  symbols: Int32Array,
  coding: Coding,
  ahead: number,
  limits: LevelLimits,
): ReferencedParts {
  const total = symbols.length;
  const parts = new GrowingParts(total);
  const search = new SourceSearch(symbols, coding, parts, limits);
  const cost = new Float64Array(ahead + 1);
  // How the cheapest way reaches each place: from where, and by which part.
  const from = new Int32Array(ahead + 1);
  const by = new Int32Array(ahead + 1);
  const phraseBy: (Phrase | undefined)[] = new Array(ahead + 1);
  let rate = 0.3;
  for (let at = 0; at < total; ) {
    const reach = Math.min(ahead, total - at);
    cost.fill(Number.POSITIVE_INFINITY, 1, reach + 1);
    cost[0] = 0;
    let bestEnd = Number.POSITIVE_INFINITY;
    let bestFrom = 0;
    let bestBy = -1;
    let bestPhrase: Phrase | undefined;
    const step = (j: number, length: number, bytes: number, option: number, phrase?: Phrase) => {
      const end = j + length;
      const sum = cost[j]! + bytes;
      if (end < reach) {
        if (sum >= cost[end]!) return;
        cost[end] = sum;
        from[end] = j;
        by[end] = option;
        phraseBy[end] = phrase;
        return;
      }
      // Past what is looked at: what is beyond counts at the rate so far.
      const worth = sum - (end - reach) * rate;
      if (worth >= bestEnd) return;
      bestEnd = worth;
      bestFrom = j;
      bestBy = option;
      bestPhrase = phrase;
    };
    const writeAt = parts.offset[parts.count]!;
    for (let j = 0; j < reach; j += 1) {
      const place = at + j;
      step(j, 1, coding.bytesOf(symbols[place]!), -1);
      for (const phrase of coding.phrasesFrom(symbols[place]!))
        if (isThere(symbols, place, phrase) && isWithin(limits, place, phrase))
          step(j, phrase.symbols.length, 1, -2, phrase);
      const found = search.at(place, j === 0 ? 0 : STALE);
      for (let option = 0; option < found.count; option += 1) {
        const bytes = referenceBytes(
          writeAt + cost[j]! - parts.offset[found.source[option]!]!,
          found.parts[option]!,
        );
        step(j, found.length[option]!, bytes, option);
      }
    }
    let [option, phrase] = [bestBy, bestPhrase];
    for (let j = bestFrom; j > 0; j = from[j]!) [option, phrase] = [by[j]!, phraseBy[j]];
    if (option === -1) parts.literal(symbols[at]!, coding.bytesOf(symbols[at]!));
    else if (option === -2) parts.phrase(phrase!);
    else {
      const found = search.at(at, 0);
      parts.reference(found.source[option]!, found.parts[option]!);
    }
    search.add(parts.count - 1);
    at = parts.raw[parts.count]!;
    rate = (RATE * parts.offset[parts.count]!) / at;
  }
  return parts;
}

function isThere(symbols: Int32Array, at: number, { symbols: own }: Phrase): boolean {
  if (at + own.length > symbols.length) return false;
  for (let place = 1; place < own.length; place += 1) if (symbols[at + place] !== own[place]) return false;
  return true;
}

function isWithin({ entered, left }: LevelLimits, at: number, phrase: Phrase): boolean {
  return phrase.entries <= entered[at]! && phrase.exits <= left[at + phrase.symbols.length]!;
}
