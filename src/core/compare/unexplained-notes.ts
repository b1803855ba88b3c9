import type { Matching } from './align-streams.ts';
import type { HeardNotes } from './heard-music.ts';
import { noteStreams, STREAMS } from './note-streams.ts';
import type { WrittenMusic } from './written-music.ts';

/** Notes missing, added, and heard with another velocity. */
export function differences(
  written: WrittenMusic,
  heard: HeardNotes,
  { heardOf, matched }: Matching,
): number {
  let changed = 0;
  for (let note = 0; note < written.count; note += 1) {
    if (isOtherVelocity(written, heard, heardOf, note)) changed += 1;
  }
  return written.count + heard.count - 2 * matched + changed;
}

/** A written note was heard, and not as loud as it is written. */
export function isOtherVelocity(
  written: WrittenMusic,
  heard: HeardNotes,
  heardOf: Int32Array,
  note: number,
): boolean {
  const found = heardOf[note]!;
  return found >= 0 && heard.velocity[found] !== written.velocity[note];
}

/** Whatever goes with what: so many strikes of one key are there more on one side than on the other. */
export function fewestDifferences(written: WrittenMusic, heard: HeardNotes): number {
  const [ours, theirs] = [noteStreams(written).start, noteStreams(heard).start];
  let fewest = 0;
  for (let stream = 0; stream < STREAMS; stream += 1) {
    const more = ours[stream + 1]! - ours[stream]! - (theirs[stream + 1]! - theirs[stream]!);
    fewest += Math.abs(more);
  }
  return fewest;
}
