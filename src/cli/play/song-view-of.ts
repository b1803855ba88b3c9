import { songNotesOf } from '../../core/observe/song-notes.ts';
import { loadCurveOf } from '../../core/wire/load-curve.ts';
import { onsetLatenessOf } from '../../core/wire/onset-lateness.ts';
import { simulatePlan } from '../../core/wire/simulate-plan.ts';
import type { SongView } from '../../screen/state/song-view.ts';
import { LOAD_WINDOW_MICROS, plainSongView } from './plain-song-view.ts';
import type { PreparedPlay } from './prepare-play.ts';

/** What the screen is told of a song, with what the plan will do to the wire. */
export function songViewOf(prepared: PreparedPlay): SongView {
  const { loaded, traits, plan, options } = prepared;
  const run = simulatePlan(plan, traits, {
    allowSysEx: options.allowSysEx ?? false,
    settleMicros: options.settleMicros ?? 0,
  });
  const { onsets, worstSongMicros, worstMicros } = onsetLatenessOf(run);
  return {
    ...plainSongView(prepared),
    notes: songNotesOf(loaded.timeline.columns),
    load: loadCurveOf(run, LOAD_WINDOW_MICROS),
    plannedWorst: onsets === 0 ? undefined : { songMicros: worstSongMicros, latenessMicros: worstMicros },
  };
}
