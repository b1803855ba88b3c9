import type { Timeline } from '../timeline/timeline.ts';
import type { MusicComparison } from './compare-music.ts';

/** What is not as written in one bar. */
export interface BarDifferences {
  readonly bar: number;
  readonly missing: number;
  readonly added: number;
  readonly changed: number;
  readonly late: number;
}

/** Bars in which something differs, ascending. A note that was added counts in the bar it was heard in. */
export function barDifferences(timeline: Timeline, comparison: MusicComparison): BarDifferences[] {
  const bars = new Map<number, { missing: number; added: number; changed: number; late: number }>();
  const at = (bar: number) => {
    const found = bars.get(bar) ?? { missing: 0, added: 0, changed: 0, late: 0 };
    bars.set(bar, found);
    return found;
  };
  const { written, notes } = comparison;
  const barOf = (note: number) => timeline.meterMap.barBeatAt(written.tick[note]!).bar;
  for (const one of notes) {
    if (one.kind === 'missing') at(barOf(one.written)).missing += 1;
    else if (one.kind === 'changed') at(barOf(one.written)).changed += 1;
    else at(placeOfHeard(timeline, comparison, comparison.heard.on.micros[one.heard]!).bar).added += 1;
  }
  for (const note of comparison.lateNotes) at(barOf(note)).late += 1;
  return [...bars].map(([bar, counts]) => ({ bar, ...counts })).sort((a, b) => a.bar - b.bar);
}

/** Bar and beat of a moment of the recording, by the law that holds. */
export function placeOfHeard(
  timeline: Timeline,
  { matched, written }: MusicComparison,
  micros: number,
): { readonly bar: number; readonly beat: number } {
  // The nearest written note that was to be expected then says where that is.
  let best = -1;
  for (let low = 0, high = written.count - 1; low <= high; ) {
    const middle = (low + high) >> 1;
    if (matched.expected[middle]! <= micros) {
      best = middle;
      low = middle + 1;
    } else high = middle - 1;
  }
  return timeline.meterMap.barBeatAt(best < 0 ? 0 : written.tick[best]!);
}
