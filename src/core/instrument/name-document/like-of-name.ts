import { GM_PROGRAMS } from '../general-midi.ts';

/** Printings of the standard differ in case, spaces and marks: `SynthStrings 1`, `Synth Strings 1`. */
const bare = (name: string): string => name.toLowerCase().replace(/[^a-z0-9]/g, '');

const BY_NAME: ReadonlyMap<string, number> = new Map(GM_PROGRAMS.map((name, number) => [bare(name), number]));

/** The General MIDI program (0–127) of a name; undefined where General MIDI has none of it. */
export function likeOfName(name: string): number | undefined {
  return BY_NAME.get(bare(name));
}
