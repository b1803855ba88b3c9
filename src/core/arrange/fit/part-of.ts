import type { HeardNotes } from './heard-notes.ts';

const PROGRAM_BITS = 7;
const SOUND_BITS = 21;

/** Bank and program of a note as one number: two banks may have different sounds at one program. */
export function soundOf({ bank, program }: HeardNotes, note: number): number {
  return soundAt(bank[note]!, program[note]!);
}

/** @param bank `msb << 7 | lsb` */
export const soundAt = (bank: number, program: number): number => (bank << PROGRAM_BITS) | program;

/** Bank Select as `msb << 7 | lsb`. */
export const bankOf = (sound: number): number => sound >> PROGRAM_BITS;
export const programOf = (sound: number): number => sound & 127;

/** A sound as one channel plays it. */
export function partOf(channel: number, sound: number): number {
  return (channel << SOUND_BITS) | sound;
}

/** Part of a channel that plays along with another → the channel that leads it; a part that is not there leads itself. */
export type PartLeaders = ReadonlyMap<number, number>;
