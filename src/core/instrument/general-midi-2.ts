import { DRUM_SETS, GM_PROGRAMS } from './general-midi.ts';
import { GENERAL_MIDI } from './general-midi-instrument.ts';
import type { Instrument, Program } from './instrument.ts';

/** Keys 27–34 and 82–87. */
// biome-ignore format: a list of names
const LOWER_DRUMS = [
  'High Q', 'Slap', 'Scratch Push', 'Scratch Pull', 'Sticks', 'Square Click', 'Metronome Click', 'Metronome Bell',
];
// biome-ignore format: a list of names
const UPPER_DRUMS = ['Shaker', 'Jingle Bell', 'Bell Tree', 'Castanets', 'Mute Surdo', 'Open Surdo'];

/**
 * General MIDI 2 (RP-024, MMA 1999): 32 voices, banks by MSB 121 (melodic, the LSB is the variation) and 120 (drums),
 * nine drum sets. The names of the variation sounds are not at hand here: each goes by the name of the sound it
 * varies, and each is taken to be there. The names of the drum keys it adds are from memory.
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
      ...LOWER_DRUMS.map((name, at) => [27 + at, name] as const),
      ...GENERAL_MIDI.drums.keys,
      ...UPPER_DRUMS.map((name, at) => [82 + at, name] as const),
    ]),
    kits: new Map(Object.entries(DRUM_SETS).map(([program, name]) => [Number(program), `${name} Drums`])),
  },
  quirks: [
    'Channel 11 plays drums as well once a program of bank 120 is chosen there.',
    'Names of the variation sounds (bank 121, LSB 1 and up) are not at hand; which of them exist is not checked.',
    'Names of the drum keys 27–34 and 82–87 are from memory.',
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
