import { isOffUnheard } from '../coverage.ts';
import { noteStreams, STREAMS } from '../note-streams.ts';
import type { Evidence } from './evidence.ts';

const FEWEST = 3;
const NEAR_MICROS = 40_000;

/** Note-offs written as note-ons with velocity 0 do not come, or come as notes, while the others do. */
export function velocityZero({ written, heard, matched, coverage }: Evidence): string | undefined {
  const { heardOf } = matched.matching;
  const { on } = heard;
  const count = { zero: 0, zeroLost: 0, plain: 0, plainLost: 0 };
  for (let note = 0; note < written.count; note += 1) {
    const found = heardOf[note]!;
    if (found < 0 || Number.isNaN(written.offMicros[note]!)) continue;
    if (Number.isNaN(on.offMicros[found]!) && isOffUnheard(written, matched, coverage, note)) continue;
    const isLost = lostRelease(
      on.offMicros[found]!,
      on.micros[found]!,
      written.offMicros[note]! - written.micros[note]!,
    );
    if (written.offIsZero[note] === 1) {
      count.zero += 1;
      count.zeroLost += isLost ? 1 : 0;
    } else {
      count.plain += 1;
      count.plainLost += isLost ? 1 : 0;
    }
  }
  const struckInstead = strikesForReleases(written, on, matched);
  const isLost = count.zeroLost >= FEWEST && count.zeroLost > 0.6 * count.zero;
  const othersCome = count.plain === 0 || count.plainLost < 0.2 * count.plain;
  if (struckInstead >= FEWEST && struckInstead > 0.5 * count.zero) {
    return `${struckInstead} of ${count.zero} releases written as note-on with velocity 0 came as notes that sound`;
  }
  if (!isLost || !othersCome) return undefined;
  const others =
    count.plain === 0
      ? 'the song has no others'
      : `of the ${count.plain} written as note-off ${count.plain - count.plainLost} came`;
  return `${count.zeroLost} of ${count.zero} releases written as note-on with velocity 0 did not come; ${others}`;
}

/** Never, or long after it was due: then it was another note's release that ended it. */
function lostRelease(offMicros: number, onMicros: number, length: number): boolean {
  return Number.isNaN(offMicros) || offMicros - onMicros > 2 * length + 500_000;
}

/** Added notes that stand where a velocity-0 release of their key was due. */
function strikesForReleases(
  written: Evidence['written'],
  on: Evidence['heard']['on'],
  { matching, expected }: Evidence['matched'],
): number {
  if (matching.matched === on.count) return 0;
  const ours = noteStreams(written);
  const theirs = noteStreams(on);
  let found = 0;
  for (let stream = 0; stream < STREAMS; stream += 1) {
    const added = theirs.notes
      .subarray(theirs.start[stream]!, theirs.start[stream + 1]!)
      .filter((note) => matching.writtenOf[note]! < 0);
    if (added.length === 0) continue;
    const due = Float64Array.from(
      ours.notes
        .subarray(ours.start[stream]!, ours.start[stream + 1]!)
        .filter((note) => written.offIsZero[note] === 1 && matching.heardOf[note]! >= 0),
      (note) => expected[note]! + written.offMicros[note]! - written.micros[note]!,
    ).sort();
    let next = 0;
    for (const note of added) {
      while (next < due.length && due[next]! < on.micros[note]! - NEAR_MICROS) next += 1;
      if (next < due.length && due[next]! <= on.micros[note]! + NEAR_MICROS) found += 1;
    }
  }
  return found;
}
