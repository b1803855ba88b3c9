import { readFileSync } from 'node:fs';

/** A mutant that no test can tell from the program, with the reason. */
export interface Equivalent {
  readonly file: string;
  readonly words: string;
  /** How often the words stand in the file, each time with the same reason; 1 where absent. */
  readonly places?: number;
  readonly why: string;
}

/** The list in `equivalents.json`. */
export function equivalents(): readonly Equivalent[] {
  return JSON.parse(readFileSync(new URL('./equivalents.json', import.meta.url), 'utf8')) as Equivalent[];
}
