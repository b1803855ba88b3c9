import type { ShowSet } from './show-set.ts';

/**
 * The order of the songs in a round: as they stand, or drawn from the set's seed. The same set and round always give
 * the same order, so that a show goes on after a power cut as it would have. No song stands at the end of one round
 * and at the beginning of the next.
 */
export function songOrder(set: ShowSet, round: number): readonly number[] {
  const order = Array.from({ length: set.songs.length }, (_, song) => song);
  const seed = set.shuffleSeed;
  if (seed === undefined || order.length < 2) return order;
  // Of two songs one always follows the other.
  if (order.length === 2) return shuffled(order, seed, 0);
  const drawn = shuffled(order, seed, round);
  if (round > 0 && drawn[0] === shuffled(order, seed, round - 1).at(-1)) {
    // The last one stays where it is, so no round needs to know more than the one before it.
    [drawn[0], drawn[1]] = [drawn[1]!, drawn[0]!];
  }
  return drawn;
}

/** Fisher and Yates; chance is a hash of seed, round and place. */
function shuffled(order: readonly number[], seed: number, round: number): number[] {
  const out = [...order];
  for (let left = out.length - 1; left > 0; left -= 1) {
    const other = Math.floor(chance(seed, round, left) * (left + 1));
    [out[left], out[other]] = [out[other]!, out[left]!];
  }
  return out;
}

/** 0 up to but not 1: multiplications and shifts until every bit depends on every other (murmur3's last steps). */
function chance(seed: number, round: number, place: number): number {
  let mixed =
    (Math.imul(seed, 0x9e3779b1) ^ Math.imul(round + 1, 0x85ebca77) ^ Math.imul(place + 1, 0xc2b2ae3d)) >>> 0;
  mixed = Math.imul(mixed ^ (mixed >>> 16), 0x85ebca6b);
  mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2b2ae35);
  return ((mixed ^ (mixed >>> 16)) >>> 0) / 2 ** 32;
}
