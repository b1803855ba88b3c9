import type { Instrument } from './instrument.ts';

/** An instrument as somebody described it, with what they left open. */
export interface Profile {
  readonly instrument: Instrument;
  /** Fields that were said, as they are called in a TOML profile: `voices`, `bank`, `drums.keys`, … */
  readonly said: ReadonlySet<string>;
  /** What stood in the description and could not be used, in sentences. */
  readonly remarks: readonly string[];
}

/** What is wrong with a description, and where in it. */
export interface ProfileComplaint {
  readonly path: readonly (string | number)[];
  readonly what: string;
  readonly nextStep: string;
}
