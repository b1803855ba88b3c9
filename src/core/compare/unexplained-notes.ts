import type { Matching } from './align-streams.ts';
import type { HeardMusic } from './heard-music.ts';
import type { WrittenMusic } from './written-music.ts';

/** Notes missing, added, and heard with another velocity. */
export function differences(
  written: WrittenMusic,
  heard: HeardMusic,
  { heardOf, matched }: Matching,
): number {
  let changed = 0;
  for (let note = 0; note < written.count; note += 1) {
    const found = heardOf[note]!;
    if (found >= 0 && heard.on.velocity[found] !== written.velocity[note]) changed += 1;
  }
  return written.count + heard.on.count - 2 * matched + changed;
}

/** Whatever goes with what: so many strikes of one key are there more on one side than on the other. */
export function fewestDifferences(written: WrittenMusic, heard: HeardMusic): number {
  const more = new Int32Array(2048);
  for (let note = 0; note < written.count; note += 1) {
    more[(written.channel[note]! << 7) | written.key[note]!]! += 1;
  }
  for (let note = 0; note < heard.on.count; note += 1) {
    more[(heard.on.channel[note]! << 7) | heard.on.key[note]!]! -= 1;
  }
  return more.reduce((sum, one) => sum + Math.abs(one), 0);
}
