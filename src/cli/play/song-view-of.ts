import { songNotesOf } from '../../core/observe/song-notes.ts';
import { loadCurveOf } from '../../core/wire/load-curve.ts';
import { onsetLatenessOf } from '../../core/wire/onset-lateness.ts';
import { simulatePlan, type WireRun } from '../../core/wire/simulate-plan.ts';
import type { LoadCurve, PlannedOnset, SongView } from '../../screen/state/song-view.ts';
import { plainSongView } from './plain-song-view.ts';
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
  const planned = remembered((audibleChannels) => plannedOf(simulate(audibleChannels)));
  return {
    ...plainSongView(prepared),
    notes: songNotesOf(loaded.timeline.columns),
    load: (audibleChannels) => planned(audibleChannels).load,
    plannedWorst: (audibleChannels) => planned(audibleChannels).onset,
  };
}

/** What the plan does while some channels are heard. */
interface Planned {
  readonly load: LoadCurve;
  readonly onset: PlannedOnset | undefined;
}

function plannedOf(run: WireRun): Planned {
  const { onsets, worstSongMicros, worstMicros } = onsetLatenessOf(run);
  return {
    load: { shares: loadCurveOf(run, LOAD_WINDOW_MICROS), windowMicros: LOAD_WINDOW_MICROS },
    onset: onsets === 0 ? undefined : { songMicros: worstSongMicros, latenessMicros: worstMicros },
  };
}

/** Works each set of channels out once, when it is asked for; of very many sets the oldest are forgotten. */
function remembered(work: (audibleChannels: number) => Planned): (audibleChannels: number) => Planned {
  const known = new Map<number, Planned>();
  return (audibleChannels) => {
    const before = known.get(audibleChannels);
    if (before !== undefined) return before;
    const planned = work(audibleChannels);
    if (known.size === SETS_KEPT) known.delete(known.keys().next().value!);
    known.set(audibleChannels, planned);
    return planned;
  };
}

const LOAD_WINDOW_MICROS = 100_000;
/** More than anybody goes to and fro between; the curve of a song of ten minutes takes 24 kB. */
const SETS_KEPT = 64;
