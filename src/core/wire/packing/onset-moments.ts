import { isNoteOn } from '../../timeline/note-row.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { microsPerByte, type WireTraits } from '../wire-traits.ts';
import type { PackOptions } from './pack-options.ts';

/**
 * The note-ons of a song, gathered by moment, as they would lie on a wire that had nothing else to carry.
 *
 *   rows     u32  note-on rows of the timeline, in timeline order
 *   first    u32  [count + 1] where each moment's rows begin in `rows`
 *   target   f64  when the moment's first note may be handed over: its due time, or earlier when that is allowed
 *   start    f64  when its first byte would be on the wire
 *   end      f64  when the wire would be free again
 */
export interface OnsetMoments {
  readonly count: number;
  readonly rows: Uint32Array;
  readonly first: Uint32Array;
  readonly target: Float64Array;
  readonly start: Float64Array;
  readonly end: Float64Array;
  /** Moment of each timeline row that is a note-on. */
  readonly momentOf: Uint32Array;
}

export function onsetMomentsOf(
  columns: TimelineColumns,
  traits: WireTraits,
  options: Required<PackOptions>,
): OnsetMoments {
  const { count: rowCount, micros, status } = columns;
  const momentOf = new Uint32Array(rowCount);
  let onsets = 0;
  let count = 0;
  let latest = Number.NEGATIVE_INFINITY;
  for (let row = 0; row < rowCount; row += 1) {
    if (!isNoteOn(columns, row)) continue;
    onsets += 1;
    if (micros[row]! !== latest) {
      latest = micros[row]!;
      count += 1;
    }
    momentOf[row] = count - 1;
  }
  const moments = {
    count,
    rows: new Uint32Array(onsets),
    first: new Uint32Array(count + 1),
    target: new Float64Array(count),
    start: new Float64Array(count),
    end: new Float64Array(count),
    momentOf,
  };
  let at = 0;
  for (let row = 0; row < rowCount; row += 1) {
    if (!isNoteOn(columns, row)) continue;
    moments.rows[at++] = row;
    moments.first[momentOf[row]! + 1] = at;
    moments.target[momentOf[row]!] = micros[row]!;
  }
  const firstEnd = layOnWire(moments, status, traits);
  if (options.earlyMicros > 0) centre(moments, firstEnd, traits.gapMicros, options);
  return moments;
}

/** Fills `start` and `end`; returns when the first message of each moment would have ended. */
function layOnWire(moments: OnsetMoments, status: Uint8Array, traits: WireTraits): Float64Array {
  const byte = microsPerByte(traits);
  const running = traits.runningStatus === 'ours';
  const firstEnd = new Float64Array(moments.count);
  const seen = new Uint32Array(16);
  let free = Number.NEGATIVE_INFINITY;
  let held = -1;
  for (let moment = 0; moment < moments.count; moment += 1) {
    const from = moments.first[moment]!;
    const to = moments.first[moment + 1]!;
    let statuses = 0;
    let heldIsHere = false;
    let last = held;
    for (let i = from; i < to; i += 1) {
      const channel = status[moments.rows[i]!]! & 0x0f;
      if (seen[channel] !== moment + 1) {
        seen[channel] = moment + 1;
        statuses += 1;
        if (channel === held) heldIsHere = true;
        else last = channel;
      }
    }
    const bytes = running ? 2 * (to - from) + statuses - (heldIsHere ? 1 : 0) : 3 * (to - from);
    const start = Math.max(free, moments.target[moment]!);
    moments.start[moment] = start;
    free = start + bytes * byte + (to - from) * traits.gapMicros;
    moments.end[moment] = free;
    firstEnd[moment] = start + (running && heldIsHere ? 2 : 3) * byte;
    held = last;
  }
  return firstEnd;
}

/**
 * Moves each run of moments that follow one another without a rest on the wire early by half its lateness, so
 * that its earliest and its latest note are equally far from their moments. Runs that would meet are joined
 * and centred together (the pooling used in isotonic regression).
 */
function centre(
  moments: OnsetMoments,
  firstEnd: Float64Array,
  gapMicros: number,
  options: Required<PackOptions>,
): void {
  const { earlyMicros, leadInMicros } = options;
  const { count, target, start, end } = moments;
  const runFirst = new Uint32Array(count + 1);
  /** Smallest and largest lateness in a run, as if all of it moved with its last moment. */
  const runLow = new Float64Array(count);
  const runHigh = new Float64Array(count);
  /** Rests inside a run: a run's first moment moves by so much less than its last. */
  const runRests = new Float64Array(count);
  const shiftOf = (run: number) => Math.min(earlyMicros, (runLow[run]! + runHigh[run]!) / 2);
  let runs = 0;
  for (let moment = 0; moment < count; moment += 1) {
    runFirst[runs] = moment;
    runLow[runs] = firstEnd[moment]! - target[moment]!;
    runHigh[runs] = end[moment]! - gapMicros - target[moment]!;
    runRests[runs] = 0;
    for (; runs > 0; runs -= 1) {
      const before = runs - 1;
      const rest = start[runFirst[runs]!]! - end[runFirst[runs]! - 1]!;
      if (shiftOf(runs) - runRests[runs]! <= shiftOf(before) + rest) break;
      const behind = runRests[runs]! + rest;
      runLow[before] = Math.min(runLow[before]! + behind, runLow[runs]!);
      runHigh[before] = Math.max(runHigh[before]! + behind, runHigh[runs]!);
      runRests[before]! += behind;
    }
    runs += 1;
  }
  runFirst[runs] = count;
  let free = Number.NEGATIVE_INFINITY;
  for (let run = 0; run < runs; run += 1) {
    let shift = shiftOf(run);
    for (let moment = runFirst[run + 1]! - 1; moment >= runFirst[run]!; moment -= 1) {
      const length = end[moment]! - start[moment]!;
      const begin = start[moment]! - shift;
      if (moment > runFirst[run]!) shift -= start[moment]! - end[moment - 1]!;
      target[moment] = Math.max(0 - leadInMicros, Math.min(target[moment]!, begin));
      start[moment] = begin;
      end[moment] = begin + length;
    }
  }
  for (let moment = 0; moment < count; moment += 1) {
    const length = end[moment]! - start[moment]!;
    start[moment] = Math.max(free, target[moment]!);
    end[moment] = start[moment]! + length;
    free = end[moment]!;
  }
}
