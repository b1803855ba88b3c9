import { keyName } from '../midi/key-names.ts';
import type { Timeline } from '../timeline/timeline.ts';
import { isClockKnown } from './clock-fit.ts';
import type { MusicComparison } from './compare-music.ts';
import { median } from './robust-line.ts';

/** What is heard to be wrong before its cause is sure. Bars, beats and channels count from 1. */
export type LiveSign =
  | {
      readonly kind: 'late';
      readonly bar: number;
      readonly beat: number;
      readonly channel: number;
      readonly note: string;
      readonly micros: number;
    }
  /** The latest moments come off their time by so much (positive: late). */
  | { readonly kind: 'drift'; readonly bar: number; readonly beat: number; readonly micros: number };

const MOST_OF_A_KIND = 10;
/** Moments whose middle says where the time has gone; and so many before them that say where it was. */
const LATEST = 5;
const FEWEST_BEFORE = 10;

export function liveSigns(timeline: Timeline, found: MusicComparison, withinMicros: number): LiveSign[] {
  const { written, lateness } = found;
  const place = (note: number) => timeline.meterMap.barBeatAt(written.tick[note]!);
  const isTimeKnown = isClockKnown(found.clock);
  const late = (isTimeKnown ? found.lateNotes : []).slice(0, MOST_OF_A_KIND).map(
    (note): LiveSign => ({
      kind: 'late',
      ...place(note),
      channel: written.channel[note]! + 1,
      note: keyName(written.key[note]!),
      micros: lateness.ofNote[note]!,
    }),
  );
  const drift = isTimeKnown ? driftOf(found, withinMicros) : undefined;
  if (drift === undefined) return late;
  return [...late, { kind: 'drift', ...place(drift.note), micros: drift.micros }];
}

/** Whether the latest moments are farther from the line of those before than a full wire explains. */
function driftOf(
  { clock, lateness, matched, heard, boundMaxMicros }: MusicComparison,
  withinMicros: number,
): { readonly note: number; readonly micros: number } | undefined {
  const { notes } = clock.points;
  if (!heard.hasTimes || matched.law === 'no-timing' || notes.length < FEWEST_BEFORE + LATEST)
    return undefined;
  const off = Float64Array.from(notes, (note) => lateness.ofNote[note]!);
  const micros = median(off.slice(-LATEST)) - median(off.slice(0, -LATEST));
  if (Math.abs(micros) <= withinMicros + boundMaxMicros) return undefined;
  return { note: notes[notes.length - LATEST]!, micros };
}
