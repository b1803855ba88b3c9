import { readFileSync } from 'node:fs';

/** A mutant that no test can tell from the program, with the reason. */
export interface Equivalent {
  readonly file: string;
  readonly words: string;
  readonly why: string;
}

/** The list in `equivalents.json`. */
export function equivalents(): readonly Equivalent[] {
  return JSON.parse(readFileSync(new URL('./equivalents.json', import.meta.url), 'utf8')) as Equivalent[];
}
