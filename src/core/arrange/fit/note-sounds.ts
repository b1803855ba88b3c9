import type { Instrument } from '../../instrument/instrument.ts';
import type { HeardNotes } from './heard-notes.ts';
import { likeOf, nearestProgram } from './nearest-program.ts';

/**
 * What each note is played with on an instrument: the program it asks for, or the nearest there is. So a song is judged
 * alike before its programs are put right and afterwards.
 *
 *   like        u8 [notes]  General MIDI program the sound stands nearest to
 *   voicesEach  u8 [notes]  voices it takes; undefined where every one takes one
 */
export interface NoteSounds {
  readonly like: Uint8Array;
  readonly voicesEach: Uint8Array | undefined;
}

export function noteSounds(notes: HeardNotes, instrument: Instrument): NoteSounds {
  const like = notes.program.slice();
  const voicesEach = new Uint8Array(notes.count).fill(1);
  const found = new Map<number, { readonly like: number; readonly each: number }>();
  let isUneven = false;
  for (let note = 0; note < notes.count; note += 1) {
    if (notes.drum[note]) continue;
    const key = (notes.bank[note]! << 7) | notes.program[note]!;
    const sound = found.get(key) ?? soundOf(key, instrument);
    found.set(key, sound);
    like[note] = sound.like;
    voicesEach[note] = sound.each;
    if (sound.each !== 1) isUneven = true;
  }
  return { like, voicesEach: isUneven ? voicesEach : undefined };
}

function soundOf(key: number, instrument: Instrument): { readonly like: number; readonly each: number } {
  const program = key & 127;
  const choice = nearestProgram({ program, msb: key >> 14, lsb: (key >> 7) & 127 }, instrument)?.program;
  if (choice === undefined) return { like: program, each: 1 };
  return { like: likeOf(choice), each: Math.min(instrument.voices, choice.voicesEach) };
}
