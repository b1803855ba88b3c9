import { GENERAL_MIDI } from '../instrument/general-midi-instrument.ts';
import type { Instrument } from '../instrument/instrument.ts';
import type { Seat } from '../instrument/orchestra.ts';
import { MIDI_WIRE, type WireTraits } from '../wire/wire-traits.ts';

/** What the song is held against, and what the user has settled already. */
export interface CheckOptions {
  readonly traits: WireTraits;
  /** What is connected. */
  readonly instrument: Instrument;
  /** How it was named on the command line; undefined where nobody said what is connected. */
  readonly instrumentName: string | undefined;
  /** Several instruments, as `--map` has them; empty: the one above is behind all channels, and its wire in `traits`. */
  readonly seats: readonly Seat[];
  /** That map, as it was written. */
  readonly map: string | undefined;
  /** Voices of the module, where they were given apart from the instrument's. */
  readonly voices: number | undefined;
  readonly allowSysEx: boolean;
  readonly settleMicros: number;
  /** Note-ons may come this early. */
  readonly earlyMicros: number;
  /** Only the tracks that ask for this port (meta 21) are judged; undefined: all of them. */
  readonly songPort: number | undefined;
  /** See PackOptions. */
  readonly setupFirst: boolean;
  /** Tolerance of the thinning that is reported, in steps of 128. */
  readonly tolerance: number;
  /** Thinning is wanted, not only reported. */
  readonly thin: boolean;
  /** Stretches that curves are drawn of. */
  readonly curvePoints: number;
}

/**
 * General MIDI on the MIDI 1.0 wire, and the rest after a reset that playing keeps (common practice, no
 * source). The table of options reads its defaults here, so that a song plays as it was checked.
 */
export const CHECK_DEFAULTS: CheckOptions = {
  traits: MIDI_WIRE,
  instrument: GENERAL_MIDI,
  instrumentName: undefined,
  seats: [],
  map: undefined,
  voices: undefined,
  allowSysEx: false,
  settleMicros: 100_000,
  earlyMicros: 0,
  songPort: undefined,
  setupFirst: true,
  tolerance: 2,
  thin: false,
  curvePoints: 72,
};
