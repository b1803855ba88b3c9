import { type Coding, type Phrase, stands } from './coding.ts';
import type { LevelLimits } from './level-limits.ts';
import type { Outlook } from './outlook.ts';
import { SourceSearch } from './source-search.ts';
import { GrowingParts } from './stream-parts.ts';

/**
 * Replaces what stands there already by references to it. A reference names a place in what has been written and a
 * number of parts there, which may be references in turn: nothing of the past has to be kept in memory. At each place
 * the part is taken that costs least together with what the outlook says of the rest.
 */
export function referencedParts(
  symbols: Int32Array,
  coding: Coding,
  outlook: Outlook,
  limits: LevelLimits,
): GrowingParts {
  const parts = new GrowingParts(symbols.length);
  const search = new SourceSearch(symbols, coding, parts, limits);
  for (let at = 0; at < symbols.length; at = parts.raw[parts.count]!) {
    const literal = coding.bytesOf(symbols[at]!);
    let fewest = literal + outlook[at + 1]!;
    let taken: Phrase | undefined;
    for (const phrase of coding.phrasesFrom(symbols[at]!)) {
      const bytes = 1 + outlook[at + phrase.symbols.length]!;
      if (bytes >= fewest || !stands(symbols, at, phrase, limits)) continue;
      fewest = bytes;
      taken = phrase;
    }
    const found = search.at(at);
    let reference = -1;
    for (let option = 0; option < found.count; option += 1) {
      const bytes = found.bytes[option]! + outlook[at + found.length[option]!]!;
      if (bytes >= fewest) continue;
      fewest = bytes;
      reference = option;
    }
    if (reference >= 0) parts.reference(found.source[reference]!, found.parts[reference]!);
    else if (taken !== undefined) parts.phrase(taken);
    else parts.literal(symbols[at]!, literal);
    search.add(parts.count - 1);
  }
  return parts;
}
