import { isNoteOn } from '../timeline/note-row.ts';
import type { WireRun } from './simulate-plan.ts';

/** How far note-ons are from their moments: last byte of the note-on on the wire minus due. Microseconds. */
export interface OnsetLateness {
  readonly onsets: number;
  /** Largest lateness; 0 where there are no note-ons. Negative only if every note is early. */
  readonly worstMicros: number;
  readonly worstSongMicros: number;
  /** Timeline row of the worst note-on, or -1. */
  readonly worstEvent: number;
  readonly rmsMicros: number;
  /** Smallest lateness: negative when notes may come early. */
  readonly earliestMicros: number;
  /** Largest distance from due, early or late. */
  readonly distanceMicros: number;
  /** Note-ons more than 20 ms late: from there on the ear tells which came first (Hirsh 1959). */
  readonly over20ms: number;
}

export const HEARD_MICROS = 20_000;

export function onsetLatenessOf(run: WireRun): OnsetLateness {
  const { columns, event, count } = run.plan;
  const { audibleChannels } = run;
  let onsets = 0;
  let worstMicros = Number.NEGATIVE_INFINITY;
  let earliestMicros = Number.POSITIVE_INFINITY;
  let worstEvent = -1;
  let squares = 0;
  let over20ms = 0;
  for (let row = 0; row < count; row += 1) {
    const source = event[row]!;
    if (!isNoteOn(columns, source)) continue;
    // One that nobody hears is never late.
    if ((audibleChannels & (1 << (columns.status[source]! & 0x0f))) === 0) continue;
    const lateness = run.endMicros[row]! - columns.micros[source]!;
    onsets += 1;
    squares += lateness * lateness;
    if (lateness > HEARD_MICROS) over20ms += 1;
    if (lateness < earliestMicros) earliestMicros = lateness;
    if (lateness > worstMicros) {
      worstMicros = lateness;
      worstEvent = source;
    }
  }
  if (onsets === 0) worstMicros = earliestMicros = 0;
  return {
    onsets,
    worstMicros,
    worstSongMicros: worstEvent < 0 ? 0 : columns.micros[worstEvent]!,
    worstEvent,
    rmsMicros: onsets > 0 ? Math.sqrt(squares / onsets) : 0,
    earliestMicros,
    distanceMicros: Math.max(Math.abs(worstMicros), Math.abs(earliestMicros)),
    over20ms,
  };
}
