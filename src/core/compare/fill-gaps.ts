import type { Matching } from './align-streams.ts';
import type { HeardNotes } from './heard-music.ts';
import { noteStreams, STREAMS } from './note-streams.ts';
import type { WrittenMusic } from './written-music.ts';

/**
 * Between two matched notes of a stream, as many unmatched ones heard as written are those, late or early as they may
 * be: a burst that waits for the wire is later than any tolerance that keeps neighbours apart.
 * @param farthest microseconds beyond which two notes are never one
 */
export function fillGaps(
  written: WrittenMusic,
  heard: HeardNotes,
  { heardOf, writtenOf, matched }: Matching,
  expected: Float64Array,
  farthest: number,
): Matching {
  const ours = noteStreams(written);
  const theirs = noteStreams(heard);
  let added = 0;
  for (let stream = 0; stream < STREAMS; stream += 1) {
    let place = theirs.start[stream]!;
    const end = theirs.start[stream + 1]!;
    const waiting: number[] = [];
    /** Pairs what waits with what was heard up to `to`, where the numbers are the same. */
    const close = (to: number): void => {
      if (waiting.length === to - place) {
        for (const [n, note] of waiting.entries()) {
          const found = theirs.notes[place + n]!;
          if (writtenOf[found]! >= 0 || Math.abs(heard.micros[found]! - expected[note]!) > farthest) continue;
          heardOf[note] = found;
          writtenOf[found] = note;
          added += 1;
        }
      }
      waiting.length = 0;
    };
    for (let at = ours.start[stream]!; at < ours.start[stream + 1]!; at += 1) {
      const note = ours.notes[at]!;
      const found = heardOf[note]!;
      if (found < 0) {
        waiting.push(note);
        continue;
      }
      let to = place;
      while (to < end && theirs.notes[to]! < found) to += 1;
      close(to);
      place = to + 1;
    }
    close(end);
  }
  return { heardOf, writtenOf, matched: matched + added };
}
