import type { Instrument } from '../instrument/instrument.ts';
import type { WireTraits } from './wire-traits.ts';

/** The wire as the instrument at its end wants it used: with its rests, and whole messages where it needs them. */
export function wireFor(
  wire: WireTraits,
  instrument: Pick<Instrument, 'pauses' | 'runningStatus'> | undefined,
): WireTraits {
  if (instrument === undefined) return wire;
  const { betweenBytesMicros, afterProgramMicros, afterSysExMicros } = instrument.pauses;
  const runningStatus = instrument.runningStatus ? wire.runningStatus : 'device';
  if (betweenBytesMicros + afterProgramMicros + afterSysExMicros === 0) return { ...wire, runningStatus };
  return { ...wire, runningStatus, betweenBytesMicros, afterProgramMicros, afterSysExMicros };
}
