import { basename } from 'node:path';
import { songNotesOf } from '../core/observe/song-notes.ts';
import { loadCurveOf } from '../core/wire/load-curve.ts';
import { onsetLatenessOf } from '../core/wire/onset-lateness.ts';
import { simulatePlan } from '../core/wire/simulate-plan.ts';
import type { SongView } from '../screen/song-view.ts';
import { findingsOf } from './play-report.ts';
import type { PlayIntent, PreparedPlay } from './prepare-play.ts';

/** What the screen is told of a song before there is a plan. */
export function plainSongView({ loaded, outputs }: PlayIntent): SongView {
  const { path, song, timeline } = loaded;
  return {
    title: timeline.title,
    fileName: basename(path),
    portName: outputs.map((output) => output.port).join(' or '),
    ...(outputs.length > 1 ? { ports: outputs.map(({ name = '', port }) => ({ name, port })) } : {}),
    timeline,
    notes: undefined,
    durationMicros: timeline.durationMicros,
    load: new Float32Array(0),
    loadWindowMicros: LOAD_WINDOW_MICROS,
    plannedWorst: undefined,
    findingsCount: findingsOf(song, timeline).length,
  };
}

/** The same, with what the plan will do to the wire. */
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

const LOAD_WINDOW_MICROS = 100_000;
