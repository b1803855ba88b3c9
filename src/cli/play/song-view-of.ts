import { songNotesOf } from '../../core/observe/song-notes.ts';
import { loadCurveOf } from '../../core/wire/load-curve.ts';
import { onsetLatenessOf } from '../../core/wire/onset-lateness.ts';
import { simulatePlan, type WireRun } from '../../core/wire/simulate-plan.ts';
import type { PlannedOnset, SongView } from '../../screen/state/song-view.ts';
import { LOAD_WINDOW_MICROS, plainSongView } from './plain-song-view.ts';
import type { PreparedPlay } from './prepare-play.ts';

/** What the screen is told of a song, with what the plan will do to the wire. */
export function songViewOf(prepared: PreparedPlay): SongView {
  const { loaded, traits, plan, options } = prepared;
  const simulate = (audibleChannels: number) =>
    simulatePlan(plan, traits, {
      allowSysEx: options.allowSysEx ?? false,
      settleMicros: options.settleMicros ?? 0,
      audibleChannels,
    });
  const whole = simulate(ALL_CHANNELS);
  const known = new Map([[ALL_CHANNELS, plannedOnsetOf(whole)]]);
  return {
    ...plainSongView(prepared),
    notes: songNotesOf(loaded.timeline.columns),
    load: loadCurveOf(whole, LOAD_WINDOW_MICROS),
    plannedWorst: (audibleChannels) => {
      if (!known.has(audibleChannels)) {
        known.set(audibleChannels, plannedOnsetOf(simulate(audibleChannels)));
      }
      return known.get(audibleChannels);
    },
  };
}

function plannedOnsetOf(run: WireRun): PlannedOnset | undefined {
  const { onsets, worstSongMicros, worstMicros } = onsetLatenessOf(run);
  return onsets === 0 ? undefined : { songMicros: worstSongMicros, latenessMicros: worstMicros };
}

const ALL_CHANNELS = 0xffff;
