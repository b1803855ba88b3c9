import type { TimelineColumns } from '../timeline/timeline.ts';
import type { HeardMusic } from './heard-music.ts';
import type { MatchedMusic } from './match-music.ts';
import { longestWaits } from './wire-waits.ts';
import type { WrittenMusic } from './written-music.ts';

/** Which part of the song a recording says anything about: it may begin late and end early. */
export interface Coverage {
  /** [written] 1: it was not heard, and nobody listened when it was due. */
  readonly isUnheard: Uint8Array;
  readonly unheard: number;
  /** Song time from which on what the player sets was heard. */
  readonly setFromMicros: number;
  /** Time, under the law, from which on nobody listened; infinity where the song was heard to its end. */
  readonly untilMicros: number;
}

/** Where nobody asks. @param notes of the song */
export const wholeSong = (notes: number): Coverage => ({
  isUnheard: new Uint8Array(notes),
  unheard: 0,
  setFromMicros: Number.NEGATIVE_INFINITY,
  untilMicros: Number.POSITIVE_INFINITY,
});

/** Who missed less of the song's beginning, though he listened before it, has missed notes. */
export const BEGINNING_MICROS = 2_000_000;
/** A note may be stamped so much later than it is expected, and one that waited for the wire. */
const SLACK_MICROS = 30_000;
/** Two sums of one time. */
const SAME_MICROS = 1;
/** The clock of a recording that somebody cut begins with its first message. */
const CUT_MICROS = 1000;
/** What comes so long behind a note that is missing shows that there was a listener. */
const LONGEST_WAIT_MICROS = 1_000_000;
/** A setting that was due so much before listening began may have been heard, and so much behind it may not. */
const JUST_BEFORE_MICROS = 3000;
const JUST_BEHIND_MICROS = 40_000;

/** Where the song is only a part of it. */
export interface Cut {
  /** The listener came in in mid-song; and with this very part of it. */
  readonly isLate: boolean;
  readonly begins: boolean;
  /** All up to its end should have come. */
  readonly ends: boolean;
}

export const UNCUT: Cut = { isLate: false, begins: false, ends: false };

/**
 * Listening begins with the recording's clock, or with the first message: where more of the song's beginning is missing, since
 * a cable was plugged in late, and where what came before it could not be read. It ends with the last message.
 * @param cut the song itself is cut where hearing began, or ended
 */
export function coverageOf(
  columns: TimelineColumns,
  written: WrittenMusic,
  heard: HeardMusic,
  matched: MatchedMusic,
  cut: Cut,
): Coverage {
  const { matching, expected, times } = matched;
  const first = matching.heardOf.findIndex((found) => found >= 0);
  if (first < 0) return wholeSong(written.count);
  const isUnheard = new Uint8Array(written.count);
  const isTimed = heard.hasTimes && matched.law !== 'no-timing';
  const slack = isTimed ? SLACK_MICROS : 0;
  const isJoined = cut.isLate || written.micros[first]! - written.micros[0]! > BEGINNING_MICROS;
  const fromMicros = isJoined || heard.isTorn ? heard.beganMicros : Math.min(0, heard.beganMicros);
  const untilMicros = cut.ends ? Infinity : lastHeard(written, heard, matched, isJoined);
  const waits =
    matching.matched < written.count ? longestWaits(columns, written) : new Float64Array(written.count);
  const isFromFirst = !isJoined && beginsWith(columns, heard);
  let before = 0;
  const behind: number[] = [];
  for (let note = 0; note < written.count; note += 1) {
    if (matching.heardOf[note]! >= 0) continue;
    const wait = isTimed ? waits[note]! : 0;
    if (!isFromFirst && expected[note]! < fromMicros + slack + wait) {
      isUnheard[note] = 1;
      before += 1;
    } else if (times[note]! >= untilMicros - SAME_MICROS && expected[note]! > heard.lastMicros - slack - wait)
      behind.push(note);
  }
  const isLate = isJoined || before > 0;
  // Where as many releases came that end nothing, they are those of the last notes, which are lost.
  if (isLate || heard.surplusOffs.length < behind.length) for (const note of behind) isUnheard[note] = 1;
  const unheard = isUnheard.reduce((sum, one) => sum + one, 0);
  const at = heard.on.micros[matching.heardOf[first]!]!;
  const here = isTimed
    ? written.micros[first]! - (at - fromMicros) / (matched.line.rate || 1)
    : written.micros[first]!;
  // From the song's first note on, and when listening began is not known: then the player is asked for what is set before it.
  const isFirst = !isLate && at === heard.beganMicros && at - fromMicros < CUT_MICROS;
  if (isFirst || !isTimed)
    return { isUnheard, unheard, setFromMicros: isLate ? here : -Infinity, untilMicros };
  return {
    isUnheard,
    unheard,
    setFromMicros: isLate ? here + JUST_BEHIND_MICROS : here - JUST_BEFORE_MICROS,
    untilMicros,
  };
}

/** The song's first message was heard as the first: so was all that follows. */
function beginsWith(
  { count, status, data1, data2 }: TimelineColumns,
  { state, beganMicros }: HeardMusic,
): boolean {
  let row = 0;
  while (row < count && status[row]! >= 0xf0) row += 1;
  return (
    row < count &&
    state.count > 0 &&
    state.micros[0] === beganMicros &&
    status[row] === state.status[0] &&
    data1[row] === state.data1[0] &&
    data2[row] === state.data2[0]
  );
}

/** A note's release is written behind the recording's end. */
export function isOffUnheard(
  { micros, offMicros }: WrittenMusic,
  { times }: MatchedMusic,
  { untilMicros }: Coverage,
  note: number,
): boolean {
  return times[note]! + offMicros[note]! - micros[note]! >= untilMicros - SAME_MICROS;
}

/**
 * Time, under the law, of the last note or release that was heard; infinity where the song has no note behind it. Who came in in
 * mid-song may leave as he came, in the middle of the last releases too; who listened from the beginning to the last note is taken to
 * have waited for its end.
 */
function lastHeard(
  written: WrittenMusic,
  { on }: HeardMusic,
  { matching, times }: MatchedMusic,
  isJoined: boolean,
): number {
  let last = Number.NEGATIVE_INFINITY;
  let lastWritten = Number.NEGATIVE_INFINITY;
  let end = Number.NEGATIVE_INFINITY;
  for (let note = 0; note < written.count; note += 1) {
    const length = written.offMicros[note]! - written.micros[note]!;
    end = Math.max(end, times[note]!);
    const found = matching.heardOf[note]!;
    if (found < 0) continue;
    last = Math.max(last, times[note]!);
    lastWritten = Math.max(lastWritten, times[note]!);
    const heardLength = on.offMicros[found]! - on.micros[found]!;
    // A release that comes at another time is that of another strike; and it may be that where it comes a little early.
    if (!(Math.abs(heardLength - length) < LONGEST_WAIT_MICROS / 2)) continue;
    last = Math.max(last, times[note]! + Math.min(length, heardLength));
    lastWritten = Math.max(lastWritten, times[note]! + length);
  }
  return !isJoined && lastWritten >= end - SAME_MICROS ? Number.POSITIVE_INFINITY : last;
}
