import { basename } from 'node:path';
import { songNotesOf } from '../core/observe/song-notes.ts';
import { loadCurveOf } from '../core/wire/load-curve.ts';
import { onsetLatenessOf } from '../core/wire/onset-lateness.ts';
import { simulatePlan } from '../core/wire/simulate-plan.ts';
import type { SongView } from '../screen/song-view.ts';
import { findingsOf } from './play-report.ts';
import type { PreparedPlay } from './prepare-play.ts';

/** What the screen is told of a song beforehand: its timeline, and what the plan will do to the wire. */
export function songViewOf({ loaded, outputs, traits, plan, options }: PreparedPlay): SongView {
  const { path, song, timeline } = loaded;
  const run = simulatePlan(plan, traits, {
    allowSysEx: options.allowSysEx ?? false,
    settleMicros: options.settleMicros ?? 0,
  });
  const lateness = onsetLatenessOf(run);
  return {
    title: timeline.title,
    fileName: basename(path),
    portName: outputs.map((output) => output.port).join(' '),
    timeline,
    notes: songNotesOf(timeline.columns),
    durationMicros: timeline.durationMicros,
    load: loadCurveOf(run, LOAD_WINDOW_MICROS),
    loadWindowMicros: LOAD_WINDOW_MICROS,
    plannedWorst:
      lateness.onsets === 0
        ? undefined
        : { songMicros: lateness.worstSongMicros, latenessMicros: lateness.worstMicros },
    findingsCount: findingsOf(song, timeline).length,
  };
}

const LOAD_WINDOW_MICROS = 100_000;
