import { orderOf } from './ascending-order.ts';
import type { HeardNotes } from './heard-music.ts';
import { noteStreams } from './note-streams.ts';
import { robustLine } from './robust-line.ts';
import type { WrittenMusic } from './written-music.ts';

export interface Vote {
  readonly start: number;
  readonly rate: number;
  /** Share of the voters (0–1) that agreed, on average over the song's stretches. */
  readonly support: number;
  /** Where each stretch was found, for those that were: song time of its middle, and offset. */
  readonly stretches: readonly { readonly at: number; readonly offset: number; readonly support: number }[];
}

const STRETCHES = 48;
const VOTERS = 48;
/** Heard notes of its key that one written note votes with. */
const MOST_VOTES = 400;
const BIN_MICROS = 30_000;
/** A stretch counts as found when so many of its voters agree. */
const FOUND = 0.4;

/**
 * Finds a song in a recording of which much may be missing, with more before and after it: stretch by stretch, each
 * written note votes for every offset at which its key was heard, and what many agree on is where the stretch is.
 * @param times song time of each note under a law
 */
export function voteOffsets(written: WrittenMusic, heard: HeardNotes, times: Float64Array): Vote {
  const theirs = noteStreams(heard);
  const order = orderOf(times);
  const count = Math.max(1, Math.min(STRETCHES, Math.floor(order.length / 12)));
  const stretches: { at: number; offset: number; support: number }[] = [];
  let support = 0;
  const room = new Int32Array(VOTERS * MOST_VOTES);
  for (let stretch = 0; stretch < count; stretch += 1) {
    const middle = Math.floor(((stretch + 0.5) * order.length) / count);
    const from = Math.max(0, Math.min(middle - VOTERS / 2, order.length - VOTERS));
    const voters = order.subarray(from, from + VOTERS);
    const found = voteOf(voters, written, heard, theirs, times, room);
    support += found.support / count;
    if (found.support >= FOUND) stretches.push({ at: times[order[middle]!]!, ...found });
  }
  const agreed = agreeing(stretches);
  const line = robustLine(
    agreed.map(({ at }) => at),
    agreed.map(({ at, offset }) => at + offset),
  );
  return { start: line.start, rate: agreed.length > 2 ? line.rate : 1, support, stretches: agreed };
}

/**
 * In a song that repeats itself a stretch may be found at another verse. Those that lie near one line, at a speed a
 * clock may have, and are the most, are kept.
 */
function agreeing<S extends { readonly at: number; readonly offset: number }>(
  stretches: readonly S[],
): readonly S[] {
  let best: readonly S[] = [];
  for (const one of stretches) {
    const near = stretches.filter(
      ({ at, offset }) => Math.abs(offset - one.offset) < 300_000 + 0.02 * Math.abs(at - one.at),
    );
    if (near.length > best.length) best = near;
  }
  return best;
}

function voteOf(
  voters: Uint32Array,
  written: WrittenMusic,
  heard: HeardNotes,
  theirs: ReturnType<typeof noteStreams>,
  times: Float64Array,
  votes: Int32Array,
): { offset: number; support: number } {
  let count = 0;
  for (const note of voters) {
    const stream = (written.channel[note]! << 7) | written.key[note]!;
    const from = theirs.start[stream]!;
    const length = theirs.start[stream + 1]! - from;
    const step = Math.ceil(length / MOST_VOTES);
    let last = Number.NaN;
    for (let n = 0; n < length; n += step) {
      const bin = Math.round((heard.micros[theirs.notes[from + n]!]! - times[note]!) / BIN_MICROS);
      // One vote a bin: a trill must not outvote the others.
      if (bin === last) continue;
      votes[count] = bin;
      count += 1;
      last = bin;
    }
  }
  const { bin, most } = fullestBins(votes.subarray(0, count).sort());
  return {
    offset: (bin + 0.5) * BIN_MICROS,
    support: voters.length > 0 ? Math.min(1, most / voters.length) : 0,
  };
}

/**
 * The bin that has the most votes together with the one after it.
 * @param votes bins, ascending
 */
function fullestBins(votes: Int32Array): { bin: number; most: number } {
  let bin = 0;
  let most = 0;
  let from = 0;
  for (let to = 0; to < votes.length; to += 1) {
    while (votes[from]! < votes[to]! - 1) from += 1;
    if (to - from + 1 <= most) continue;
    most = to - from + 1;
    bin = votes[from]!;
  }
  return { bin, most };
}
