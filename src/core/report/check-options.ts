import { GM_VOICES } from '../instrument/general-midi.ts';
import { MIDI_WIRE, type WireTraits } from '../wire/wire-traits.ts';

/** What the song is held against, and what the user has settled already. */
export interface CheckOptions {
  readonly traits: WireTraits;
  /** Voices of the module. */
  readonly voices: number;
  readonly allowSysEx: boolean;
  readonly settleMicros: number;
  /** Note-ons may come this early. */
  readonly earlyMicros: number;
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
 * General MIDI's 24 voices on the MIDI 1.0 wire, and the rest after a reset that playing keeps (common practice, no
 * source). The table of options reads its defaults here, so that a song plays as it was checked.
 */
export const CHECK_DEFAULTS: CheckOptions = {
  traits: MIDI_WIRE,
  voices: GM_VOICES,
  allowSysEx: false,
  settleMicros: 100_000,
  earlyMicros: 0,
  setupFirst: true,
  tolerance: 2,
  thin: false,
  curvePoints: 72,
};
