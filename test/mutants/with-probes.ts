import type { Site } from './mutations-of.ts';

/** What a probe calls with its number, if it is there. */
export const REACHED = 'reachedInWirepit';

/** The source, in which each site tells its number whenever it is evaluated or run. */
export function withProbes(
  source: string,
  probes: readonly { readonly site: Site; readonly number: number }[],
): string {
  const inserts = probes.flatMap(({ site: { start, end, isStatement }, number }) => {
    const call = `globalThis.${REACHED}?.(${number})`;
    const size = end - start + (isStatement ? 0.5 : 0);
    // Where one ends another may begin; the larger of two is outside.
    return [
      { at: start, order: -size, text: isStatement ? `{${call};` : `(${call},` },
      { at: end, order: size - 2 * source.length, text: isStatement ? '}' : ')' },
    ];
  });
  inserts.sort((a, b) => a.at - b.at || a.order - b.order);
  let text = '';
  let from = 0;
  for (const insert of inserts) {
    text += source.slice(from, insert.at) + insert.text;
    from = insert.at;
  }
  return text + source.slice(from);
}
