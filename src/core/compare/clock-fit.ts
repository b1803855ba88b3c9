import type { Timeline } from '../timeline/timeline.ts';
import { clockLine } from './clock-line.ts';
import type { HeardMusic } from './heard-music.ts';
import type { MatchedMusic } from './match-music.ts';
import { momentPoints } from './moment-points.ts';
import { type RobustLine, robustLine } from './robust-line.ts';
import { heldUp } from './standstills.ts';
import type { WrittenMusic } from './written-music.ts';

/** How the recording's time runs against the song's, and by how much a clock's error and lost time explain it. */
export interface ClockFit {
  /** Its `rateError` is the doubt about the clock: see `isClockKnown`. */
  readonly line: RobustLine;
  /** Time lost with each message sent, in microseconds; 0 where none is. */
  readonly lostPerMessageMicros: number;
  /** Time lost in all. */
  readonly lostMicros: number;
  /** First notes of their moments, but for those heard while the listener stood still: song time, recording's time, note. */
  readonly points: { readonly x: Float64Array; readonly y: Float64Array; readonly notes: Uint32Array };
  /** Middle distance from the line, with lost time taken off. */
  readonly spread: number;
}

/** A clock that is wrong by less is not worth naming (a crystal is right to some tens of ppm); known worse, it is not known. */
export const LEAST_PPM = 300;

/** Whether two standard deviations of its error are less than what would be named. */
export function isClockKnown({ line }: ClockFit): boolean {
  return 2e6 * line.rateError < LEAST_PPM;
}

/** Lost time is named when it explains so much of what a clock alone leaves. */
const EXPLAINS = 0.6;
const LEAST_LOST_MICROS = 60_000;

/**
 * Parts a clock that runs wrong from time that is lost with each message: recording = start + rate · song + lost ·
 * messages. Where notes come evenly the two cannot be told apart, and all is the clock's.
 */
export function clockFit(
  { columns }: Timeline,
  written: WrittenMusic,
  heard: HeardMusic,
  matched: MatchedMusic,
): ClockFit {
  const { times, matching } = matched;
  const heardOf = unheld(heard, matching.heardOf);
  const points = momentPoints(times, written, heard, heardOf);
  const { x, y, notes } = points;
  const plain = { lostPerMessageMicros: 0, lostMicros: 0, points, spread: matched.line.spread };
  if (matched.law === 'no-timing') return { ...plain, line: matched.line };
  const exact = (lost: number, line: RobustLine) =>
    clockLine(columns, written, heard, heardOf, times, matched.law === 'tempo-map', lost, line, notes);
  if (notes.length < 24) return { ...plain, line: exact(0, matched.line) };
  const messages = Float64Array.from(notes, (note) => written.message[note]!);
  // How far messages are from being even in time: without that there is nothing to see.
  const even = robustLine(x, messages);
  const uneven = messages.map((count, n) => count - even.rate * x[n]!);
  const left = y.map((at, n) => at - matched.line.rate * x[n]!);
  const lost = robustLine(uneven, left).rate;
  const corrected = y.map((at, n) => at - lost * messages[n]!);
  const line = robustLine(x, corrected);
  const total = lost * (messages.at(-1)! - messages[0]!);
  const isBetter = line.spread < EXPLAINS * matched.line.spread && matched.line.spread - line.spread > 2000;
  if (!isBetter || total < LEAST_LOST_MICROS) return { ...plain, line: exact(0, matched.line) };
  return {
    line: exact(lost, line),
    lostPerMessageMicros: lost,
    lostMicros: total,
    points,
    spread: line.spread,
  };
}

/** The pairs whose times are the player's own doing. */
function unheld({ on, standstills }: HeardMusic, heardOf: Int32Array): Int32Array {
  const isHeldUp = heldUp(on, standstills);
  return heardOf.map((found) => (found >= 0 && isHeldUp[found] === 1 ? -1 : found));
}
