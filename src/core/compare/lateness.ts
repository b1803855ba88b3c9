import type { ClockFit } from './clock-fit.ts';
import type { HeardMusic } from './heard-music.ts';
import type { MatchedMusic } from './match-music.ts';
import { quantile } from './robust-line.ts';
import { heldUp } from './standstills.ts';
import type { WrittenMusic } from './written-music.ts';

/** How late notes came, against the line of their law. Microseconds. */
export interface Lateness {
  /** [written] NaN where the note was not heard, or while the listener stood still. */
  readonly ofNote: Float64Array;
  /** Notes that were heard while the listener stood still: how late they were nobody knows. */
  readonly unknown: number;
  readonly p50Micros: number;
  readonly p99Micros: number;
  readonly maxMicros: number;
  /** Written note that was latest, −1 for none. */
  readonly worst: number;
  /** Notes in 20 bins of `binMicros`, the first for everything before it, the last for everything after. */
  readonly histogram: readonly number[];
  readonly binMicros: number;
}

const BINS = 20;
/** When playing begins nobody knows: notes that are on time are taken to be those that are among the first. */
const ON_TIME = 0.05;

export function latenessOf(
  written: WrittenMusic,
  heard: HeardMusic,
  matched: MatchedMusic,
  clock: ClockFit,
): Lateness {
  const { heardOf } = matched.matching;
  const ofNote = new Float64Array(written.count).fill(Number.NaN);
  const { line, lostPerMessageMicros } = clock;
  const isHeldUp = heldUp(heard.on, heard.standstills);
  let unknown = 0;
  for (let note = 0; note < written.count; note += 1) {
    if (heardOf[note]! < 0) continue;
    if (isHeldUp[heardOf[note]!] === 1) {
      unknown += 1;
      continue;
    }
    const due = line.start + line.rate * matched.times[note]! + lostPerMessageMicros * written.message[note]!;
    ofNote[note] = heard.on.micros[heardOf[note]!]! - due;
  }
  const firsts = Float64Array.from(clock.points.notes, (note) => ofNote[note]!);
  const onTime = quantile(firsts, ON_TIME);
  const all = new Float64Array(written.count);
  let count = 0;
  let worst = -1;
  for (let note = 0; note < written.count; note += 1) {
    if (Number.isNaN(ofNote[note]!)) continue;
    ofNote[note]! -= onTime;
    all[count] = ofNote[note]!;
    count += 1;
    if (worst < 0 || ofNote[note]! > ofNote[worst]!) worst = note;
  }
  const known = all.subarray(0, count);
  const p99 = quantile(known, 0.99);
  const binMicros = binFor(p99);
  const histogram = new Array<number>(BINS).fill(0);
  for (const late of known) histogram[Math.min(BINS - 1, Math.max(0, Math.floor(late / binMicros)))]! += 1;
  return {
    ofNote,
    unknown,
    p50Micros: quantile(known, 0.5),
    p99Micros: p99,
    maxMicros: worst < 0 ? 0 : ofNote[worst]!,
    worst,
    histogram,
    binMicros,
  };
}

/** 1, 2 or 5 of a power of ten, so that the bins reach a little beyond the 99th percentile. */
function binFor(p99: number): number {
  const wanted = Math.max(100, (p99 * 1.2) / BINS);
  const power = 10 ** Math.floor(Math.log10(wanted));
  return [1, 2, 5, 10].map((step) => step * power).find((bin) => bin >= wanted)!;
}
