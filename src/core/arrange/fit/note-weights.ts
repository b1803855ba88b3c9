import type { TimelineColumns } from '../../timeline/timeline.ts';
import type { HeardNotes } from './heard-notes.ts';
import { Role, type RoleNumber } from './note-role.ts';
import { noteRoles } from './note-roles.ts';

/**
 * How much is heard of a note: loudness^1.2 × its role × (a share for being struck + the time it sounds, dying away).
 * The weights are our own choice, held against 239 songs; no standard has any.
 *
 *   weight  f64 [notes]   without the time
 *   decay   f64 [notes]   seconds after which it has died away to 37 %
 *   role    u8  [notes]   see note-role.ts
 */
export interface NoteWeights {
  readonly weight: Float64Array;
  readonly decay: Float64Array;
  readonly role: Uint8Array;
}

const LOUDNESS_POWER = 1.2;

/** By role: beat, top, bottom, inner, octave double, unison double. */
const ROLE_WEIGHTS: Readonly<Record<RoleNumber, number>> = {
  [Role.beat]: 2,
  [Role.top]: 2,
  [Role.bottom]: 1.5,
  [Role.inner]: 1,
  [Role.octaveDouble]: 0.6,
  [Role.unisonDouble]: 0.3,
};

/** Seconds, by the family of eight programs (General MIDI 1): what is struck or plucked dies away; ours. */
const FAMILY_DECAYS = [0.8, 0.6, 4, 0.8, 0.8, 4, 4, 4, 4, 4, 4, 4, 3, 0.6, 0.5, 2];
const DRUM_DECAY = 0.25;

/**
 * @param keep by how much melody and beat count for more than their weight
 * @param like [notes] General MIDI program each sounds like; as the song asks where nothing is said
 * @param role [notes] where it is known already
 */
export function noteWeights(
  columns: TimelineColumns,
  notes: HeardNotes,
  keep: number,
  like: Uint8Array = notes.program,
  role: Uint8Array = noteRoles(columns, notes),
): NoteWeights {
  const weight = new Float64Array(notes.count);
  const decay = new Float64Array(notes.count);
  const roleWeight = Float64Array.from({ length: 6 }, (_, number) => {
    const guarded = number === Role.beat || number === Role.top;
    return ROLE_WEIGHTS[number as RoleNumber] * (guarded ? keep : 1);
  });
  for (let note = 0; note < notes.count; note += 1) {
    weight[note] = notes.loudness[note]! ** LOUDNESS_POWER * roleWeight[role[note]!]!;
    decay[note] = notes.drum[note] ? DRUM_DECAY : FAMILY_DECAYS[like[note]! >> 3]!;
  }
  return { weight, decay, role };
}
