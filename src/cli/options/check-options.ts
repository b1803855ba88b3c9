import { GENERAL_MIDI } from '../../core/instrument/general-midi-instrument.ts';
import type { Seat } from '../../core/instrument/orchestra.ts';
import { CHECK_DEFAULTS, type CheckOptions } from '../../core/report/check-options.ts';
import { wireFor } from '../../core/wire/wire-for.ts';
import type { WireTraits } from '../../core/wire/wire-traits.ts';

import { fetchedInstrument } from '../../profile/instrument-shelf.ts';
import { seatsOf } from './outputs.ts';

/** The flags of playing and checking that decide how a song fares on the wire. */
export interface WireFlags {
  readonly allowSysex?: boolean;
  readonly settle: number;
  readonly early: number;
  readonly setupFirst: boolean;
  readonly thin?: number;
  readonly instrument?: string;
  readonly map?: string;
  readonly port?: readonly string[];
  readonly songPort?: number;
}

/** What a song is held against: the same for `check` and for the list of songs while one plays. */
export function checkOptionsOf(flags: WireFlags, traits: WireTraits, voices?: number): CheckOptions {
  const instrument = flags.instrument === undefined ? GENERAL_MIDI : fetchedInstrument(flags.instrument);
  const seats = seatsOf(flags.port ?? [], flags.map, flags.instrument);
  return {
    ...CHECK_DEFAULTS,
    traits: seats.length > 0 ? traits : wireFor(traits, instrument),
    instrument,
    instrumentName: flags.instrument,
    seats,
    map: flags.map,
    voices,
    allowSysEx: flags.allowSysex ?? false,
    settleMicros: settleOf(flags, seats),
    earlyMicros: flags.early * 1000,
    setupFirst: flags.setupFirst,
    songPort: flags.songPort,
    thin: flags.thin !== undefined,
    tolerance: flags.thin ?? CHECK_DEFAULTS.tolerance,
  };
}

/** Rest after a reset, in microseconds: what was asked for, and never less than the instrument needs. */
function settleOf({ settle, instrument }: WireFlags, seats: readonly Seat[]): number {
  const one = instrument === undefined ? [] : [fetchedInstrument(instrument)];
  const named = seats.filter(({ instrumentName }) => instrumentName !== undefined);
  const all = seats.length > 0 ? named.map((seat) => seat.instrument) : one;
  return Math.max(settle * 1000, ...all.map(({ pauses }) => pauses.afterResetMicros));
}
