import type { Profile } from '../../core/instrument/profile.ts';
import { unsaidIn } from './instrument-page.ts';

/** Version of what `wirepit instrument --json` prints; docs/instruments.md has the fields. */
export const INSTRUMENT_SCHEMA = 'wirepit-instrument/1';

/** A profile as plain data: channels, programs and kits counted from 1 as people count. */
export function instrumentDocument(profile: Profile) {
  const { instrument, remarks } = profile;
  const { controllers, registeredParameters, drums, keys, pauses } = instrument;
  return {
    schema: INSTRUMENT_SCHEMA,
    name: instrument.name,
    voices: instrument.voices,
    parts: instrument.parts,
    channels: instrument.channels.map((channel) => channel + 1),
    keys: [keys.low, keys.high],
    full: instrument.full,
    releaseMs: instrument.releaseMicros / 1000,
    bendRange: instrument.bendRangeSemitones,
    controllers: controllers === undefined ? null : [...controllers],
    registeredParameters: registeredParameters === undefined ? null : [...registeredParameters],
    resets: [...instrument.resets],
    runningStatus: instrument.runningStatus,
    pausesMs: {
      afterReset: pauses.afterResetMicros / 1000,
      afterProgram: pauses.afterProgramMicros / 1000,
      afterSysEx: pauses.afterSysExMicros / 1000,
      betweenBytes: pauses.betweenBytesMicros / 1000,
    },
    banks: instrument.banks.map(({ name, msb, lsb, programs }) => ({
      name,
      msb: msb ?? null,
      lsb: lsb ?? null,
      programs: programs.map((program) => ({
        number: program.number + 1,
        name: program.name,
        like: program.like === undefined ? null : program.like + 1,
        keys: program.keys === undefined ? null : [program.keys.low, program.keys.high],
        voicesEach: program.voicesEach,
      })),
    })),
    drums: {
      channels: drums.channels.map((channel) => channel + 1),
      keys: [...drums.keys].map(([key, name]) => ({ key, name })),
      kits: [...drums.kits].map(([kit, name]) => ({ kit: kit + 1, name })),
    },
    quirks: instrument.quirks,
    unsaid: unsaidIn(profile),
    remarks,
  };
}
