import type { HeardMusic } from './heard-music.ts';
import { quantile } from './robust-line.ts';

/** A byte of the MIDI wire takes 320 µs (MIDI 1.0, p. 1): notes cannot truly begin closer together than two. */
const CLOSEST_MICROS = 640;
/** Notes this close follow each other on the wire without a gap, on a player that keeps up. */
const BURST_MICROS = 3000;

/**
 * How coarse a receiver's times are: on a wire the notes of a chord follow each other at 640 or 960 µs, so what
 * their times are off from that is the receiver's own doing (a poll, a bus, a clock of whole milliseconds).
 */
export function graininessOf({ on, hasTimes }: HeardMusic): number {
  if (!hasTimes) return 0;
  const offs: number[] = [];
  for (let note = 1; note < on.count && offs.length < 20_000; note += 1) {
    const gap = on.micros[note]! - on.micros[note - 1]!;
    if (on.message[note]! - on.message[note - 1]! !== 1 || gap > BURST_MICROS) continue;
    offs.push(gap < CLOSEST_MICROS ? CLOSEST_MICROS - gap : Math.max(0, gap - 960));
  }
  return offs.length < 10 ? 0 : quantile(Float64Array.from(offs), 0.9);
}
