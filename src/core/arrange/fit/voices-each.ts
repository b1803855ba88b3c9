import type { Instrument } from '../../instrument/instrument.ts';
import type { HeardNotes } from './heard-notes.ts';

/** [notes] voices each takes, by the program it plays; undefined where every one takes one. */
export function voicesEachOf(notes: HeardNotes, { banks, voices }: Instrument): Uint8Array | undefined {
  const each = new Uint8Array(128).fill(1);
  for (const { programs } of banks) {
    for (const { number, voicesEach } of programs) {
      each[number] = Math.max(each[number]!, Math.min(voices, voicesEach));
    }
  }
  if (each.every((count) => count === 1)) return undefined;
  return Uint8Array.from({ length: notes.count }, (_, note) =>
    notes.drum[note] ? 1 : each[notes.program[note]!]!,
  );
}
