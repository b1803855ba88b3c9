import { type Coding, stands } from './coding.ts';
import type { LevelLimits } from './level-limits.ts';
import { SourceSearch } from './source-search.ts';
import type { GrowingParts } from './stream-parts.ts';

/** Bytes that a song takes from each of its symbols on: what a part is judged by that ends there. One more than symbols. */
export type Outlook = Float64Array;

/** Where nothing is known yet: about what a symbol of a song takes. */
const BYTES_A_SYMBOL = 0.25;

export function evenOutlook(symbols: number): Outlook {
  const outlook = new Float64Array(symbols + 1);
  for (let at = 0; at < symbols; at += 1) outlook[at] = BYTES_A_SYMBOL * (symbols - at);
  return outlook;
}

/**
 * From the end back, the fewest bytes from each symbol on, where it is referred to what stands before it in `parts`. The
 * next search then knows where good references begin; what it writes is other parts, so it can be done again and again.
 */
export function outlookOf(
  symbols: Int32Array,
  coding: Coding,
  parts: GrowingParts,
  limits: LevelLimits,
): Outlook {
  const search = new SourceSearch(symbols, coding, parts, limits);
  for (let part = 0; part < parts.count; part += 1) search.add(part);
  const outlook = new Float64Array(symbols.length + 1);
  let known = parts.count;
  for (let at = symbols.length - 1; at >= 0; at -= 1) {
    while (known > 0 && parts.raw[known]! > at) {
      known -= 1;
      search.forget(known);
    }
    let fewest = coding.bytesOf(symbols[at]!) + outlook[at + 1]!;
    for (const phrase of coding.phrasesFrom(symbols[at]!)) {
      const bytes = 1 + outlook[at + phrase.symbols.length]!;
      if (bytes < fewest && stands(symbols, at, phrase, limits)) fewest = bytes;
    }
    const found = search.at(at);
    for (let option = 0; option < found.count; option += 1)
      fewest = Math.min(fewest, found.bytes[option]! + outlook[at + found.length[option]!]!);
    outlook[at] = fewest;
  }
  return outlook;
}
