import type { Timeline } from '../core/timeline/timeline.ts';
import { writtenPosition } from '../core/timeline/written-position.ts';
import { Refusal } from '../trouble/refusal.ts';

/** Where a song begins and ends, as flags and sets write it. */
export interface Stretch {
  readonly from?: string | undefined;
  readonly to?: string | undefined;
}

/** Song time (µs) to start at. Throws a refusal where there is no such place. */
export function startOf(flags: Stretch, timeline: Timeline): number {
  if (flags.from === undefined) return 0;
  const micros = writtenPosition(flags.from, timeline);
  if (micros === undefined) {
    throw new Refusal(
      `'${flags.from}' is no place in this song`,
      '--from',
      'write 17:3, 1m30s, or how a marker begins',
    );
  }
  if (micros > 0 && micros >= timeline.durationMicros) {
    const { bar } = timeline.meterMap.barBeatAt(timeline.endTick);
    throw new Refusal(`'${flags.from}' is not before the end`, '--from', `the song ends in bar ${bar}`);
  }
  return micros;
}

/** Where the song is to end; undefined: where it is written to end. Throws as `startOf` does. */
export function endOf(flags: Stretch, timeline: Timeline): { micros: number; tick: number } | undefined {
  if (flags.to === undefined) return undefined;
  const micros = writtenPosition(flags.to, timeline);
  if (micros === undefined) {
    throw new Refusal(
      `'${flags.to}' is no place in this song`,
      '--to',
      'write 17:3, 1m30s, or how a marker begins',
    );
  }
  if (micros <= startOf(flags, timeline)) {
    throw new Refusal(`'${flags.to}' is not after the beginning`, '--to', 'name a later place');
  }
  return { micros, tick: Math.round(timeline.tempoMap.tickAt(micros)) };
}

/** Seconds that a stretch takes at the song's own tempo, or why there is no such stretch. */
export function stretchSeconds(stretch: Stretch, timeline: Timeline): number | string {
  try {
    const to = endOf(stretch, timeline)?.micros ?? timeline.durationMicros;
    return (to - startOf(stretch, timeline)) / 1e6;
  } catch (error) {
    if (error instanceof Refusal) return error.message;
    throw error;
  }
}
