/** Notes of each channel and key, in order: what no player mixes up, since a key is struck in its own order. */
export interface NoteStreams {
  /** [2049] where the notes of `channel * 128 + key` begin in `notes`. */
  readonly start: Uint32Array;
  /** Numbers of notes, stream after stream. */
  readonly notes: Uint32Array;
}

export const STREAMS = 2048;

/** @param order notes in the order in which each stream shall have them; left out: as they stand */
export function noteStreams(
  { count, channel, key }: { readonly count: number; readonly channel: Uint8Array; readonly key: Uint8Array },
  order?: Uint32Array,
): NoteStreams {
  const start = new Uint32Array(STREAMS + 1);
  for (let note = 0; note < count; note += 1) start[((channel[note]! << 7) | key[note]!) + 1]! += 1;
  for (let stream = 0; stream < STREAMS; stream += 1) start[stream + 1]! += start[stream]!;
  const next = start.slice(0, STREAMS);
  const notes = new Uint32Array(count);
  for (let at = 0; at < count; at += 1) {
    const note = order === undefined ? at : order[at]!;
    const stream = (channel[note]! << 7) | key[note]!;
    notes[next[stream]!] = note;
    next[stream]! += 1;
  }
  return { start, notes };
}
