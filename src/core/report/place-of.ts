import type { Timeline } from '../timeline/timeline.ts';
import type { CheckPlace } from './check-place.ts';

/** A song time as people say it. Times before the song count as its beginning. */
export function placeOf(timeline: Timeline, micros: number): CheckPlace {
  const { bar, beat } = timeline.meterMap.barBeatAt(
    Math.max(0, Math.floor(timeline.tempoMap.tickAt(micros))),
  );
  return { seconds: micros / 1_000_000, bar, beat };
}

/** The same for a row of the timeline, by its tick. */
export function placeOfRow(timeline: Timeline, row: number): CheckPlace {
  if (row < 0) return { seconds: 0, bar: 1, beat: 1 };
  const { bar, beat } = timeline.meterMap.barBeatAt(timeline.columns.tick[row]!);
  return { seconds: timeline.columns.micros[row]! / 1_000_000, bar, beat };
}
