import { DRUM_CHANNEL, FIRST_PERCUSSION_KEY, GM_PERCUSSION, GM_PROGRAMS, GM_VOICES } from './general-midi.ts';
import type { Instrument } from './instrument.ts';

/**
 * General MIDI System Level 1 (MMA0007 / RP-003): what every module that bears the mark can do at least, and what
 * is taken where nothing else is known. Which note gives way and how long a release lasts, the standard leaves
 * open: "oldest" and no tail claim the least.
 */
export const GENERAL_MIDI: Instrument = {
  name: 'General MIDI',
  voices: GM_VOICES,
  parts: 16,
  channels: Array.from({ length: 16 }, (_, channel) => channel),
  keys: { low: 0, high: 127 },
  full: 'oldest',
  releaseMicros: 0,
  bendRangeSemitones: 2,
  controllers: undefined,
  registeredParameters: undefined,
  resets: new Set(['gm1', 'reset-all-controllers', 'all-notes-off', 'all-sound-off']),
  // The rest after a reset is `--settle`; common practice, no source.
  pauses: { afterResetMicros: 100_000, afterProgramMicros: 0, afterSysExMicros: 0, betweenBytesMicros: 0 },
  runningStatus: true,
  banks: [
    {
      name: 'General MIDI',
      msb: undefined,
      lsb: undefined,
      programs: GM_PROGRAMS.map((name, number) => ({
        number,
        name,
        like: number,
        keys: undefined,
        voicesEach: 1,
      })),
    },
  ],
  drums: {
    channels: [DRUM_CHANNEL],
    keys: new Map(GM_PERCUSSION.map((name, index) => [FIRST_PERCUSSION_KEY + index, name])),
    kits: new Map(),
  },
  quirks: [],
};
