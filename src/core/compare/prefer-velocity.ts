import type { Matching } from './align-streams.ts';
import type { HeardNotes } from './heard-music.ts';
import type { WrittenMusic } from './written-music.ts';

/** Strikes of one key this close may be taken for one another. */
const NEAR_MICROS = 20_000;
/** Notes looked at on either side. */
const MOST_LOOKED_AT = 24;

/**
 * Of two strikes of one key in one moment, of which only one is written or only one was heard, the one with the velocity
 * that is due is it: the other was broken into that key, or is the one that is gone. Changes `matching`.
 */
export function preferVelocity(
  written: WrittenMusic,
  heard: HeardNotes,
  { heardOf, writtenOf }: Matching,
): void {
  for (let note = 0; note < written.count; note += 1) {
    const found = heardOf[note]!;
    if (found < 0 || heard.velocity[found] === written.velocity[note]) continue;
    const other = nearby(heard, found, writtenOf, written.velocity[note]!);
    if (other >= 0) {
      writtenOf[found] = -1;
      writtenOf[other] = note;
      heardOf[note] = other;
      continue;
    }
    const gone = nearby(written, note, heardOf, heard.velocity[found]!);
    if (gone < 0) continue;
    heardOf[note] = -1;
    heardOf[gone] = found;
    writtenOf[found] = gone;
  }
}

type Strikes = Pick<HeardNotes, 'count' | 'micros' | 'channel' | 'key' | 'velocity'>;

/** An unmatched strike of the same key and of that velocity in the same moment; −1 for none. */
function nearby(notes: Strikes, from: number, partner: Int32Array, velocity: number): number {
  for (const step of [1, -1]) {
    for (let n = from + step, looked = 0; looked < MOST_LOOKED_AT; n += step, looked += 1) {
      if (n < 0 || n >= notes.count) break;
      if (Math.abs(notes.micros[n]! - notes.micros[from]!) > NEAR_MICROS) break;
      const isSame = notes.key[n] === notes.key[from] && notes.channel[n] === notes.channel[from];
      if (isSame && partner[n]! < 0 && notes.velocity[n] === velocity) return n;
    }
  }
  return -1;
}
