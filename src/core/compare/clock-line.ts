import type { TimelineColumns } from '../timeline/timeline.ts';
import { placesUpTo } from './ascending-order.ts';
import type { HeardMusic } from './heard-music.ts';
import { FEWEST_MOMENTS } from './match-music.ts';
import { median, type RobustLine } from './robust-line.ts';
import { weightedLine } from './weighted-line.ts';
import { wireWaits } from './wire-waits.ts';
import type { WrittenMusic } from './written-music.ts';

/** Notes beyond this number say nothing more about a clock. */
const MOST_NOTES = 6000;
/** Tukey's biweight: 95 % as good as least squares where errors are normal, and nothing counts that lies beyond 4.685 σ. */
const BIWEIGHT = 4.685;
const MOST_PASSES = 20;

interface ClockPoints {
  readonly x: Float64Array;
  readonly y: Float64Array;
}

/**
 * The line of a clock, as well as it can be known: through the onsets and releases of all notes and not only the first of
 * each moment, less what the wire makes each wait; from the robust line, which no stray can lead astray, on to the biweight
 * (Yohai's MM idea, 1987), which makes more of the sound ones. Nobody knows in which order the player fills the wire, nor
 * whether with running status: of the ways there are the one counts that leaves the least doubt.
 * @param times song time of each note under the law that holds
 * @param isByMap whether the law is the song's tempo map, under which a release's time is known as well
 * @param lost microseconds lost with each message
 * @param first the robust line through the first notes of their moments, `firsts`
 */
export function clockLine(
  columns: TimelineColumns,
  written: WrittenMusic,
  heard: HeardMusic,
  heardOf: Int32Array,
  times: Float64Array,
  isByMap: boolean,
  lost: number,
  first: RobustLine,
  firsts: Uint32Array,
): RobustLine {
  let best = { ...first, rateError: Number.POSITIVE_INFINITY };
  if (firsts.length < FEWEST_MOMENTS) return best;
  const known = knownNotes(heardOf);
  const ways: ClockPoints[] = [pointsOf(firsts, undefined, false)];
  for (const isRunning of [false, true]) {
    const waits = wireWaits(columns, isRunning);
    ways.push(pointsOf(firsts, waits, false), pointsOf(known, waits, isByMap));
  }
  for (const { x, y } of ways) {
    const line = biweightLine(x, y, first.rate);
    if (line !== undefined && line.rateError < best.rateError) best = line;
  }
  return best;

  function pointsOf(notes: Uint32Array, waits: Float64Array | undefined, withReleases: boolean): ClockPoints {
    const x = new Float64Array(2 * notes.length);
    const y = new Float64Array(2 * notes.length);
    let count = 0;
    for (const note of notes) {
      const found = heardOf[note]!;
      const row = written.row[note]!;
      x[count] = times[note]! + (waits?.[row] ?? 0);
      y[count] = heard.on.micros[found]! - lost * written.message[note]!;
      count += 1;
      const off = columns.partner[row]!;
      const offMicros = heard.on.offMicros[found]!;
      if (!withReleases || off >= columns.count || Number.isNaN(offMicros)) continue;
      x[count] = columns.micros[off]! + waits![off]!;
      y[count] = offMicros - lost * off;
      count += 1;
    }
    return { x: x.subarray(0, count), y: y.subarray(0, count) };
  }
}

/** Written notes that were heard, some of them where there are very many. */
function knownNotes(heardOf: Int32Array): Uint32Array {
  const all = placesUpTo(heardOf.length).filter((note) => heardOf[note]! >= 0);
  const step = Math.ceil(all.length / MOST_NOTES);
  return all.filter((_, n) => n % step === 0);
}

/** @returns undefined where all points that count have one x */
function biweightLine(x: Float64Array, y: Float64Array, firstRate: number): RobustLine | undefined {
  const count = x.length;
  const centre = x[count >> 1]!;
  let rate = firstRate;
  let start = 0;
  const left = (n: number): number => y[n]! - start - rate * (x[n]! - centre);
  // Medians move what they are given about.
  const moved = new Float64Array(count);
  for (let n = 0; n < count; n += 1) moved[n] = left(n);
  start = median(moved);
  const spreadNow = (): number => {
    for (let n = 0; n < count; n += 1) moved[n] = Math.abs(left(n));
    return median(moved);
  };
  let spread = spreadNow();
  const weightOf = new Float64Array(count);
  let width = Number.NaN;
  for (let pass = 0; pass < MOST_PASSES; pass += 1) {
    const reach = BIWEIGHT * 1.4826 * Math.max(spread, 1);
    for (let n = 0; n < count; n += 1) weightOf[n] = Math.max(0, 1 - (left(n) / reach) ** 2) ** 2;
    const line = weightedLine(x, y, centre, weightOf);
    if (line === undefined) return undefined;
    const before = rate;
    ({ start, rate, width } = line);
    if (pass < 2) spread = spreadNow();
    else if (Math.abs(rate - before) < 1e-11) break;
  }
  // Of few points the spread itself is not well known: Student's t instead of the normal law, near enough.
  const few = Math.sqrt(count / (count - 2)) * (1 + 4 / count);
  const rateError = (few * 1.4826 * Math.max(spread, 1)) / Math.sqrt(width);
  return { start: start - rate * centre, rate, spread, rateError };
}
