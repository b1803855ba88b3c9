/**
 * General MIDI System Level 1: program names, families and the percussion map (MMA0007 / RP-003; names as in
 * SMF 1.1, App. 1.4–1.5 and later printings, which differ in a few spellings). Programs are 0–127 here, as on
 * the wire; the standard prints them from 1.
 */

/** Channel 10, counted from 0. */
export const DRUM_CHANNEL = 9;

/** The same as a set of bits. */
export const GM_DRUM_CHANNELS = 1 << DRUM_CHANNEL;

/** General MIDI 1 asks for so many voices at least (24 dynamic, or 16 melodic and 8 percussion). */
export const GM_VOICES = 24;

interface Family {
  readonly family: string;
  readonly programs: readonly string[];
}

/** [16] families of eight programs. */
// biome-ignore format: a line for each name makes the table three times as long as it reads well
export const GM_FAMILIES: readonly Family[] = [
  {
    family: 'Piano',
    programs: [
      'Acoustic Grand Piano', 'Bright Acoustic Piano', 'Electric Grand Piano', 'Honky-tonk Piano',
      'Electric Piano 1', 'Electric Piano 2', 'Harpsichord', 'Clavinet',
    ],
  },
  {
    family: 'Chromatic Percussion',
    programs: [
      'Celesta', 'Glockenspiel', 'Music Box', 'Vibraphone', 'Marimba', 'Xylophone', 'Tubular Bells',
      'Dulcimer',
    ],
  },
  {
    family: 'Organ',
    programs: [
      'Drawbar Organ', 'Percussive Organ', 'Rock Organ', 'Church Organ', 'Reed Organ', 'Accordion',
      'Harmonica', 'Tango Accordion',
    ],
  },
  {
    family: 'Guitar',
    programs: [
      'Acoustic Guitar (nylon)', 'Acoustic Guitar (steel)', 'Electric Guitar (jazz)',
      'Electric Guitar (clean)', 'Electric Guitar (muted)', 'Overdriven Guitar', 'Distortion Guitar',
      'Guitar Harmonics',
    ],
  },
  {
    family: 'Bass',
    programs: [
      'Acoustic Bass', 'Electric Bass (finger)', 'Electric Bass (pick)', 'Fretless Bass', 'Slap Bass 1',
      'Slap Bass 2', 'Synth Bass 1', 'Synth Bass 2',
    ],
  },
  {
    family: 'Strings',
    programs: [
      'Violin', 'Viola', 'Cello', 'Contrabass', 'Tremolo Strings', 'Pizzicato Strings', 'Orchestral Harp',
      'Timpani',
    ],
  },
  {
    family: 'Ensemble',
    programs: [
      'String Ensemble 1', 'String Ensemble 2', 'Synth Strings 1', 'Synth Strings 2', 'Choir Aahs',
      'Voice Oohs', 'Synth Voice', 'Orchestra Hit',
    ],
  },
  {
    family: 'Brass',
    programs: [
      'Trumpet', 'Trombone', 'Tuba', 'Muted Trumpet', 'French Horn', 'Brass Section', 'Synth Brass 1',
      'Synth Brass 2',
    ],
  },
  {
    family: 'Reed',
    programs: [
      'Soprano Sax', 'Alto Sax', 'Tenor Sax', 'Baritone Sax', 'Oboe', 'English Horn', 'Bassoon', 'Clarinet',
    ],
  },
  {
    family: 'Pipe',
    programs: [
      'Piccolo', 'Flute', 'Recorder', 'Pan Flute', 'Blown Bottle', 'Shakuhachi', 'Whistle', 'Ocarina',
    ],
  },
  {
    family: 'Synth Lead',
    programs: [
      'Lead 1 (square)', 'Lead 2 (sawtooth)', 'Lead 3 (calliope)', 'Lead 4 (chiff)', 'Lead 5 (charang)',
      'Lead 6 (voice)', 'Lead 7 (fifths)', 'Lead 8 (bass + lead)',
    ],
  },
  {
    family: 'Synth Pad',
    programs: [
      'Pad 1 (new age)', 'Pad 2 (warm)', 'Pad 3 (polysynth)', 'Pad 4 (choir)', 'Pad 5 (bowed)',
      'Pad 6 (metallic)', 'Pad 7 (halo)', 'Pad 8 (sweep)',
    ],
  },
  {
    family: 'Synth Effects',
    programs: [
      'FX 1 (rain)', 'FX 2 (soundtrack)', 'FX 3 (crystal)', 'FX 4 (atmosphere)', 'FX 5 (brightness)',
      'FX 6 (goblins)', 'FX 7 (echoes)', 'FX 8 (sci-fi)',
    ],
  },
  {
    family: 'Ethnic',
    programs: [
      'Sitar', 'Banjo', 'Shamisen', 'Koto', 'Kalimba', 'Bag Pipe', 'Fiddle', 'Shanai',
    ],
  },
  {
    family: 'Percussive',
    programs: [
      'Tinkle Bell', 'Agogo', 'Steel Drums', 'Woodblock', 'Taiko Drum', 'Melodic Tom', 'Synth Drum',
      'Reverse Cymbal',
    ],
  },
  {
    family: 'Sound Effects',
    programs: [
      'Guitar Fret Noise', 'Breath Noise', 'Seashore', 'Bird Tweet', 'Telephone Ring', 'Helicopter',
      'Applause', 'Gunshot',
    ],
  },
];

/** [128] program names. */
export const GM_PROGRAMS: readonly string[] = GM_FAMILIES.flatMap(({ programs }) => programs);

export function programName(program: number): string {
  return GM_PROGRAMS[program] ?? `Program ${program + 1}`;
}

export function programFamily(program: number): string {
  return GM_FAMILIES[program >> 3]?.family ?? '';
}

/** Keys of the percussion map. */
export const FIRST_PERCUSSION_KEY = 35;

/** [47] sounds from key 35 (B1) on. */
// biome-ignore format: as above
export const GM_PERCUSSION: readonly string[] = [
  'Acoustic Bass Drum', 'Bass Drum 1', 'Side Stick', 'Acoustic Snare', 'Hand Clap', 'Electric Snare',
  'Low Floor Tom', 'Closed Hi-Hat', 'High Floor Tom', 'Pedal Hi-Hat', 'Low Tom', 'Open Hi-Hat',
  'Low-Mid Tom', 'Hi-Mid Tom', 'Crash Cymbal 1', 'High Tom', 'Ride Cymbal 1', 'Chinese Cymbal', 'Ride Bell',
  'Tambourine', 'Splash Cymbal', 'Cowbell', 'Crash Cymbal 2', 'Vibraslap', 'Ride Cymbal 2', 'Hi Bongo',
  'Low Bongo', 'Mute Hi Conga', 'Open Hi Conga', 'Low Conga', 'High Timbale', 'Low Timbale', 'High Agogo',
  'Low Agogo', 'Cabasa', 'Maracas', 'Short Whistle', 'Long Whistle', 'Short Guiro', 'Long Guiro', 'Claves',
  'Hi Wood Block', 'Low Wood Block', 'Mute Cuica', 'Open Cuica', 'Mute Triangle', 'Open Triangle',
];

/** Name of a drum sound, or undefined for a key General MIDI gives none. */
export function percussionName(key: number): string | undefined {
  return GM_PERCUSSION[key - FIRST_PERCUSSION_KEY];
}

/** The nine drum sets of General MIDI 2 by program (RP-024; numbers from memory). GM1 knows only the first. */
export const DRUM_SETS: Readonly<Record<number, string>> = {
  0: 'Standard',
  8: 'Room',
  16: 'Power',
  24: 'Electronic',
  25: 'Analog',
  32: 'Jazz',
  40: 'Brush',
  48: 'Orchestra',
  56: 'SFX',
};

/** 0 → `Standard Drums`; a program no standard names → `Drums 13`, counted from 1. */
export function drumSetName(program: number): string {
  const name = DRUM_SETS[program];
  return name === undefined ? `Drums ${program + 1}` : `${name} Drums`;
}
