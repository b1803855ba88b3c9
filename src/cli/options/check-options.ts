import { CHECK_DEFAULTS, type CheckOptions } from '../../core/report/check-options.ts';
import type { WireTraits } from '../../core/wire/wire-traits.ts';

/** The flags of playing and checking that decide how a song fares on the wire. */
export interface WireFlags {
  readonly allowSysex?: boolean;
  readonly settle: number;
  readonly early: number;
  readonly setupFirst: boolean;
  readonly thin?: number;
}

/** What a song is held against: the same for `check` and for the list of songs while one plays. */
export function checkOptionsOf(flags: WireFlags, traits: WireTraits, voices?: number): CheckOptions {
  return {
    ...CHECK_DEFAULTS,
    traits,
    voices: voices ?? CHECK_DEFAULTS.voices,
    allowSysEx: flags.allowSysex ?? false,
    settleMicros: flags.settle * 1000,
    earlyMicros: flags.early * 1000,
    setupFirst: flags.setupFirst,
    thin: flags.thin !== undefined,
    tolerance: flags.thin ?? CHECK_DEFAULTS.tolerance,
  };
}
