import type { Timeline } from '../timeline/timeline.ts';
import { onsetLatenessOf } from '../wire/onset-lateness.ts';
import type { WireRun } from '../wire/simulate-plan.ts';
import { microsPerByte } from '../wire/wire-traits.ts';
import { placeOf } from './place-of.ts';
import type { PlanCheck } from './song-check.ts';

/** What a plan does on the wire, in the figures of the report. */
export function planCheckOf(timeline: Timeline, run: WireRun): PlanCheck {
  const onsets = onsetLatenessOf(run);
  const { plan } = run;
  const firstRelease = plan.count > 0 ? plan.releaseMicros[0]! : 0;
  const leadInMicros = Math.max(0, -firstRelease);
  const spanMicros = Math.max(timeline.durationMicros, run.wireEndMicros) + leadInMicros;
  return {
    worstOnsetLatenessMicros: onsets.worstMicros,
    worstAt: placeOf(timeline, onsets.worstSongMicros),
    rmsOnsetLatenessMicros: onsets.rmsMicros,
    worstOnsetDistanceMicros: onsets.distanceMicros,
    onsetsOver20ms: onsets.over20ms,
    bytes: run.bytes,
    meanLoad: spanMicros > 0 ? (run.bytes * microsPerByte(run.traits)) / spanMicros : 0,
    peakLoad100ms: run.peakLoad100ms,
    peakLoad1s: run.peakLoad1s,
    worstBacklogMicros: run.worstBacklogMicros,
    leadInMicros,
  };
}
