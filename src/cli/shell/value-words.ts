import { PORT_KINDS } from '../../ports/port-kinds.ts';
import type { OptionRow } from '../options/option-row.ts';

/** What may stand after an option: one of these words, files, folders, or nothing that a shell could know. */
export interface ValueWords {
  readonly words: readonly string[];
  readonly paths: 'files' | 'folders' | 'none';
}

/** By what the table calls the value. */
const PATHS: Readonly<Record<string, ValueWords['paths']>> = {
  file: 'files',
  folder: 'folders',
  'name or file': 'files',
  port: 'files',
};

/** Options whose port is one to hear. */
const INPUTS: ReadonlySet<string> = new Set(['from', 'thru-from', 'follow']);

/** What a shell can offer as the value of an option; undefined for a switch. */
export function valueWords(row: OptionRow): ValueWords | undefined {
  if (row.value === undefined) return undefined;
  const paths = PATHS[row.value] ?? 'none';
  if (row.choices !== undefined) return { words: row.choices, paths };
  if (row.value !== 'port') return { words: [], paths };
  const way = INPUTS.has(row.name) ? 'input' : 'output';
  const kinds = PORT_KINDS.filter((kind) => kind[way] !== undefined);
  return { words: kinds.map(({ name, bare }) => (bare ? name : `${name}:`)), paths };
}
