import { DRUM_SETS, GM_PROGRAMS } from './general-midi.ts';
import { GENERAL_MIDI } from './general-midi-instrument.ts';
import type { Instrument, Program } from './instrument.ts';

/**
 * General MIDI 2 (RP-024, MMA 1999): 32 voices, banks by MSB 121 (melodic, the LSB is the variation) and 120 (drums),
 * nine drum sets. The names of the variation sounds are not at hand here: each goes by the name of the sound it
 * varies, and each is taken to be there. Drum keys 27–34 and 82–87 exist (from memory), their names are not at hand.
 */
export const GENERAL_MIDI_2: Instrument = {
  ...GENERAL_MIDI,
  name: 'General MIDI 2',
  voices: 32,
  resets: new Set(['gm1', 'gm2', 'reset-all-controllers', 'all-notes-off', 'all-sound-off']),
  banks: [
    { name: 'General MIDI', msb: 121, lsb: 0, programs: programsNamed((name) => name) },
    { name: 'Variations', msb: 121, lsb: undefined, programs: programsNamed((name) => `${name}, varied`) },
    // A song for Level 1 selects bank 0, which a GM2 module leaves aside after GM1 On; seen in module manuals.
    { name: 'As General MIDI 1', msb: 0, lsb: undefined, programs: programsNamed((name) => name) },
  ],
  drums: {
    channels: GENERAL_MIDI.drums.channels,
    keys: new Map([
      ...Array.from({ length: 8 }, (_, at) => [27 + at, `Drum Key ${27 + at}`] as const),
      ...GENERAL_MIDI.drums.keys,
      ...Array.from({ length: 6 }, (_, at) => [82 + at, `Drum Key ${82 + at}`] as const),
    ]),
    kits: new Map(Object.entries(DRUM_SETS).map(([program, name]) => [Number(program), `${name} Drums`])),
  },
  quirks: [
    'Channel 11 plays drums as well once bank 120 is selected there; it is counted as melodic here.',
    'Names of the variation sounds (bank 121, LSB 1 and up) are not at hand; which of them exist is not checked.',
    'Names of the drum keys 27–34 and 82–87 are not at hand.',
  ],
};

function programsNamed(naming: (name: string) => string): Program[] {
  return GM_PROGRAMS.map((name, number) => ({
    number,
    name: naming(name),
    like: number,
    keys: undefined,
    voicesEach: 1,
  }));
}
