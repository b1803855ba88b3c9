import type { Timeline } from '../timeline/timeline.ts';
import { alignStreams, type Matching, pairEqualStreams } from './align-streams.ts';
import { expectedMoments } from './expected-moments.ts';
import { inOrderAlone, isFasterThanAnyWire } from './faster-than-wire.ts';
import { fillGaps } from './fill-gaps.ts';
import type { HeardMusic } from './heard-music.ts';
import { momentPoints } from './moment-points.ts';
import { preferVelocity } from './prefer-velocity.ts';
import { type RobustLine, robustLine } from './robust-line.ts';
import { type Law, type LawTimes, lawTimes } from './time-laws.ts';
import { inTurnTimes } from './tracks-in-turn.ts';
import { differences, fewestDifferences } from './unexplained-notes.ts';
import { voteOffsets } from './vote-offsets.ts';
import type { WrittenMusic } from './written-music.ts';

/** A recording laid beside the song. */
export interface MatchedMusic {
  readonly law: Law;
  /** Song time (µs) of each written note under that law. */
  readonly times: Float64Array;
  /** From those times to the recording's, through the first note of each moment. */
  readonly line: RobustLine;
  /** When each written note was to be expected, lost time and jumps followed. */
  readonly expected: Float64Array;
  readonly matching: Matching;
}

/** Narrower from pass to pass, as the place of each note becomes known. */
const TOLERANCES = [600_000, 250_000, 120_000];

/**
 * Order first, time afterwards: what is known by order alone decides which law of time holds; the law then decides the
 * rest. Where that leaves far more unexplained than order alone does, the times are those of a sender that stuttered
 * through the song without keeping any, and order has the last word.
 */
export function matchMusic(timeline: Timeline, written: WrittenMusic, recording: HeardMusic): MatchedMusic {
  if (isFasterThanAnyWire(recording)) return matchBy(timeline, written, inOrderAlone(recording));
  const found = matchBy(timeline, written, recording);
  if (!recording.hasTimes) return found;
  const left = differences(written, recording.on, found.matching);
  const better = holds(found) ? MUCH_BETTER : 1;
  if (left <= better * fewestDifferences(written, recording.on)) return found;
  const byOrder = matchBy(timeline, written, inOrderAlone(recording));
  return better * differences(written, recording.on, byOrder.matching) < left ? byOrder : found;
}

/** Against a law of time order alone must leave so many times fewer differences. */
const MUCH_BETTER = 3;

/** A law of time that any player keeps, and not one stretched until it fits. */
function holds({ law, line }: MatchedMusic): boolean {
  return law !== 'no-timing' && Math.abs(Math.log(line.rate)) < MOST_STRETCH[law];
}

function matchBy(timeline: Timeline, written: WrittenMusic, heard: HeardMusic): MatchedMusic {
  const all = lawTimes(timeline, written);
  const laws = heard.hasTimes ? all : all.filter(({ law }) => law === 'no-timing');
  const equal = pairEqualStreams(written, heard.on);
  const share = equal.matched / Math.min(written.count, heard.on.count);
  const tries: (() => MatchedMusic)[] = [];
  if (share >= FEW_KNOWN) {
    const law = byPairs(laws, written, heard, equal);
    // Where every key came as often as it is written, order alone says which is which, and the law is settled.
    tries.push(() =>
      share > SETTLED ? settled(law, equal, written, heard) : follow(law, equal, laws, written, heard),
    );
    const trackByTrack = pairEqualStreams(written, heard.on, inTrackOrder(written));
    const inTurn = inTurnTimes(laws, written, heard.on, trackByTrack);
    if (inTurn !== undefined) {
      const turn = fitted({ law: 'tracks-in-turn', micros: inTurn }, written, heard, trackByTrack);
      const isSettled = trackByTrack.matched > SETTLED * written.count;
      tries.unshift(() =>
        isSettled
          ? settled(turn, trackByTrack, written, heard)
          : follow(turn, trackByTrack, [], written, heard),
      );
    }
  }
  const none = { heardOf: new Int32Array(written.count).fill(-1) };
  tries.push(() => follow(byVotes(laws, written, heard), none, laws, written, heard));
  let best: MatchedMusic | undefined;
  for (const attempt of tries) {
    const found = attempt();
    if (best === undefined || found.matching.matched > 1.02 * best.matching.matched) best = found;
    if (best.matching.matched >= GOOD_SHARE * Math.min(written.count, heard.on.count)) break;
  }
  preferVelocity(written, heard.on, best!.matching);
  return best!;
}

/** A share of notes known by order alone that is worth beginning with, and one beyond which it is order that decides. */
const FEW_KNOWN = 0.1;
const SETTLED = 0.995;
/** So many matched: no other way could be much better. */
const GOOD_SHARE = 0.9;

/** Notes track after track, each in its own order. */
function inTrackOrder({ count, track }: WrittenMusic): Uint32Array {
  const tracks = track.reduce((most, one) => Math.max(most, one + 1), 0);
  const next = new Uint32Array(tracks + 1);
  for (let note = 0; note < count; note += 1) next[track[note]! + 1]! += 1;
  for (let n = 0; n < tracks; n += 1) next[n + 1]! += next[n]!;
  const order = new Uint32Array(count);
  for (let note = 0; note < count; note += 1) {
    order[next[track[note]!]!] = note;
    next[track[note]!]! += 1;
  }
  return order;
}

/** Where order says which note is which; expected moments are what is left to find. */
function settled(first: Fitted, known: Matching, written: WrittenMusic, heard: HeardMusic): MatchedMusic {
  if (known.matched === written.count && known.matched === heard.on.count) {
    const expected = expectedMoments(first.micros, heard.on.micros, known, first.line);
    return { law: first.law, times: first.micros, line: first.line, expected, matching: known };
  }
  const found = follow(first, known, [], written, heard);
  return { ...found, matching: byOrder(known, found.matching, written) };
}

/** From a first law and what is known, to the whole: expected moments and matching sharpen one another. */
function follow(
  first: Guess,
  known: Pick<Matching, 'heardOf'>,
  laws: readonly LawTimes[],
  written: WrittenMusic,
  heard: HeardMusic,
): MatchedMusic {
  let law: Fitted | undefined;
  let pairs = known;
  let expected = first.micros;
  let matching: Matching | undefined;
  for (const tolerance of TOLERANCES) {
    const before = law ?? first;
    expected = expectedMoments(before.micros, heard.on.micros, pairs, before.line);
    matching = alignStreams(written, heard.on, expected, tolerance);
    pairs = matching;
    // With more pairs a law may show that had too few to be seen.
    law =
      laws.length > 0 ? byPairs(laws, written, heard, matching) : fitted(before, written, heard, matching);
  }
  const filled = fillGaps(written, heard.on, matching!, expected, TOLERANCES[0]!);
  return { law: law!.law, times: law!.micros, line: law!.line, expected, matching: filled };
}

/**
 * Where every key came as often as it is written, order alone has the last word: a note that waits behind a chord for
 * longer than any tolerance is late, and not one that is missing and another that was added.
 */
function byOrder(known: Pick<Matching, 'heardOf'>, found: Matching, written: WrittenMusic): Matching {
  const { heardOf, writtenOf } = found;
  const isTorn = new Uint8Array(2048);
  const streamOf = (note: number) => (written.channel[note]! << 7) | written.key[note]!;
  for (let note = 0; note < heardOf.length; note += 1) {
    if (heardOf[note]! < 0 && known.heardOf[note]! >= 0) isTorn[streamOf(note)] = 1;
  }
  for (let note = 0; note < heardOf.length; note += 1) {
    if (isTorn[streamOf(note)] === 0) continue;
    const other = known.heardOf[note]!;
    heardOf[note] = other;
    writtenOf[other] = note;
  }
  return { heardOf, writtenOf, matched: heardOf.reduce((sum, other) => sum + (other >= 0 ? 1 : 0), 0) };
}

/** Even three notes of a thousand at a wrong tempo are seen. */
const LEAST_GAIN = 700;
const MOST_OFF = 1_000_000;

/** Through fewer moments than these any law can be laid, with a clock that is a little wrong. */
export const FEWEST_MOMENTS = 12;

/** How much faster or slower (natural logarithm) a player may be: that its clock is far off and its tempo wrong too is less likely. */
const MOST_STRETCH = { 'tempo-map': 0.223, 'first-tempo': 0.05, 'tempo-120': 0.05, 'tracks-in-turn': 0.223 };

interface Guess extends LawTimes {
  readonly line: Pick<RobustLine, 'start' | 'rate'>;
}

interface Fitted extends Guess {
  readonly line: RobustLine;
  /** Moments that it goes through. */
  readonly moments: number;
  /** Microseconds that pairs are off on average, each counted up to a second. */
  readonly off: number;
}

function byPairs(
  laws: readonly LawTimes[],
  written: WrittenMusic,
  heard: HeardMusic,
  matching: Matching,
): Fitted {
  const fits = laws.map((law) => fitted(law, written, heard, matching));
  if (fits[0]!.moments < FEWEST_MOMENTS) return fits[0]!;
  const plausible = fits.filter(({ law, line }) =>
    law === 'no-timing' ? isBurst(line.rate) : Math.abs(Math.log(line.rate)) < MOST_STRETCH[law],
  );
  const [first, ...others] = plausible.length > 0 ? plausible : fits;
  // A later law must be clearly better: in a song that hardly changes its tempo all are alike.
  return others.reduce(
    (best, one) => (one.off < 0.5 * best.off && best.off - one.off > LEAST_GAIN ? one : best),
    first!,
  );
}

/** At the speed of the wire, if not much slower; what is no wire takes all at once. */
function isBurst(rate: number): boolean {
  return Math.abs(rate) < 4;
}

function fitted(times: LawTimes, written: WrittenMusic, heard: HeardMusic, { heardOf }: Matching): Fitted {
  const { x, y } = momentPoints(times.micros, written, heard, heardOf);
  const line = robustLine(x, y);
  let off = 0;
  for (let n = 0; n < x.length; n += 1) {
    off += Math.min(MOST_OFF, Math.abs(y[n]! - line.start - line.rate * x[n]!)) / x.length;
  }
  return { ...times, line, moments: x.length, off };
}

function byVotes(laws: readonly LawTimes[], written: WrittenMusic, heard: HeardMusic): Guess {
  const votes = laws.map((law) => ({ law, vote: voteOffsets(written, heard.on, law.micros) }));
  const best = votes.reduce((a, b) => (b.vote.support > 1.15 * a.vote.support ? b : a));
  return { ...best.law, line: best.vote };
}
