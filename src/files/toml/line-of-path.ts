/** Keys and places in lists, from the outermost in: `['bank', 1, 'program', 0, 'name']`. */
export type TomlPath = readonly (string | number)[];

/**
 * The line of a TOML text at which a path stands, from 1: the line of its key, or else of the nearest thing around
 * it. The parser keeps no lines, so this reads headers and keys alone; it is asked only when something is wrong.
 */
export function lineOfPath(text: string, path: TomlPath): number {
  const wanted = path.map(String);
  let best = { line: 1, depth: 0 };
  let table: string[] = [];
  /** How many tables of each `[[list]]` there have been. */
  const counts = new Map<string, number>();
  for (const [index, line] of text.split('\n').entries()) {
    const header = /^\s*(\[\[?)([^\]]+)\]/.exec(line);
    const key =
      header === null
        ? /^\s*((?:"[^"]*"|'[^']*'|[\w-]+)(?:\s*\.\s*(?:"[^"]*"|'[^']*'|[\w-]+))*)\s*=/.exec(line)
        : null;
    if (header !== null) {
      table = numbered(keysOf(header[2]!), header[1] === '[[', counts);
    }
    const here = key === null ? table : [...table, ...keysOf(key[1]!)];
    if (header === null && key === null) continue;
    const depth = sharedDepth(here, wanted);
    // Only what lies on the way to the path counts: a neighbour's line says nothing.
    if (depth === here.length && depth > best.depth) best = { line: index + 1, depth };
  }
  return best.line;
}

function keysOf(dotted: string): string[] {
  return [...dotted.matchAll(/"([^"]*)"|'([^']*)'|([\w-]+)/g)].map(
    (match) => match[1] ?? match[2] ?? match[3]!,
  );
}

/** Puts the number of the list's latest table behind each key that names a list. */
function numbered(keys: readonly string[], isList: boolean, counts: Map<string, number>): string[] {
  const out: string[] = [];
  for (const [at, key] of keys.entries()) {
    out.push(key);
    const name = out.join('\n');
    const isLast = at === keys.length - 1;
    if (isLast && isList) counts.set(name, (counts.get(name) ?? -1) + 1);
    const number = counts.get(name);
    if (number !== undefined) out.push(String(number));
  }
  return out;
}

function sharedDepth(a: readonly string[], b: readonly string[]): number {
  let depth = 0;
  while (depth < a.length && depth < b.length && a[depth] === b[depth]) depth += 1;
  return depth;
}
