import type { Matching } from './align-streams.ts';
import type { HeardNotes } from './heard-music.ts';
import { median, quantile } from './robust-line.ts';
import type { LawTimes } from './time-laws.ts';
import type { WrittenMusic } from './written-music.ts';

/** A track with fewer known notes says nothing about where it was played. */
const FEWEST_NOTES = 4;
/** Tracks played together begin within this time of each other, whatever the law. */
const APART_MICROS = 2_000_000;
/** What is left over must be so much less than where all tracks begin at once. */
const EXPLAINS = 0.5;

/**
 * Song times as of a player that plays one track after another, where the recording is of such a one.
 * @param laws how such a player may have made times of ticks within a track
 * @returns song time of each note plus its track's own shift; undefined where the tracks were played together
 */
export function inTurnTimes(
  laws: readonly LawTimes[],
  written: WrittenMusic,
  heard: HeardNotes,
  { heardOf }: Matching,
): Float64Array | undefined {
  let best: { micros: Float64Array; off: number } | undefined;
  for (const { law, micros } of laws) {
    if (law === 'no-timing') continue;
    const shifts = trackShifts(micros, written, heard, heardOf);
    if (shifts === undefined || !areInTurn(shifts, micros, written)) continue;
    const shifted = micros.map((at, note) => at + (shifts.get(written.track[note]!) ?? 0));
    const off = offOf(shifted, heard, heardOf);
    if (best === undefined || off < 0.7 * best.off) best = { micros: shifted, off };
  }
  if (best === undefined) return undefined;
  // Under a wrong law tracks that follow each other in the song seem to have been shifted.
  const together = Math.min(...laws.map(({ micros }) => offOf(micros, heard, heardOf)));
  return best.off < EXPLAINS * together ? best.micros : undefined;
}

function trackShifts(
  micros: Float64Array,
  { count, track }: WrittenMusic,
  heard: HeardNotes,
  heardOf: Int32Array,
): Map<number, number> | undefined {
  const offs = new Map<number, number[]>();
  for (let note = 0; note < count; note += 1) {
    const found = heardOf[note]!;
    if (found < 0) continue;
    const list = offs.get(track[note]!) ?? [];
    offs.set(track[note]!, list);
    if (list.length < 2000) list.push(heard.micros[found]! - micros[note]!);
  }
  const shifts = new Map<number, number>();
  for (const [number, list] of offs) {
    if (list.length >= FEWEST_NOTES) shifts.set(number, median(Float64Array.from(list)));
  }
  return shifts.size > 1 ? shifts : undefined;
}

/** Each track that is known begins after the one before it has ended, and not just as it would have anyway. */
function areInTurn(
  shifts: ReadonlyMap<number, number>,
  micros: Float64Array,
  { count, track }: WrittenMusic,
): boolean {
  const spans = new Map<number, { from: number; to: number }>();
  for (let note = 0; note < count; note += 1) {
    const shift = shifts.get(track[note]!);
    if (shift === undefined) continue;
    const at = micros[note]! + shift;
    const span = spans.get(track[note]!);
    if (span === undefined) spans.set(track[note]!, { from: at, to: at });
    else {
      span.from = Math.min(span.from, at);
      span.to = Math.max(span.to, at);
    }
  }
  // By when they came: a player may begin with any track.
  const inOrder = [...spans].sort((a, b) => a[1].from - b[1].from);
  let apart = 0;
  for (let n = 1; n < inOrder.length; n += 1) {
    const [, before] = inOrder[n - 1]!;
    const [number, here] = inOrder[n]!;
    if (here.from < before.to - APART_MICROS / 4) return false;
    if (shifts.get(number)! - shifts.get(inOrder[n - 1]![0])! > APART_MICROS) apart += 1;
  }
  return apart > 0 && apart >= (inOrder.length - 1) / 2;
}

function offOf(micros: Float64Array, heard: HeardNotes, heardOf: Int32Array): number {
  const offs = new Float64Array(micros.length);
  let count = 0;
  for (let note = 0; note < micros.length; note += 1) {
    if (heardOf[note]! < 0) continue;
    offs[count] = heard.micros[heardOf[note]!]! - micros[note]!;
    count += 1;
  }
  const known = offs.subarray(0, count);
  const middle = median(known);
  for (let n = 0; n < count; n += 1) known[n] = Math.abs(known[n]! - middle);
  return quantile(known, 0.9);
}
