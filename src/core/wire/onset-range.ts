import { isNoteOn } from '../timeline/note-row.ts';
import { isHeldBack, PayloadKind } from '../timeline/payload-kind.ts';
import { rowBytes } from './message-length.ts';
import { payloadKindOf } from './payload-kind-of.ts';
import { RunningStatus } from './running-status.ts';
import type { SendPlan } from './send-plan.ts';
import type { WireRunOptions } from './simulate-plan.ts';
import { microsPerByte, type WireTraits } from './wire-traits.ts';

/** How far the onsets of a plan are from their moments (µs); 0 and 0 without onsets. */
export interface OnsetRange {
  /** Of the latest note-on, its last byte minus due; never below 0. */
  readonly latestMicros: number;
  /** The largest distance from due, early or late. */
  readonly distanceMicros: number;
}

/** What `simulatePlan` and `onsetLatenessOf` would find of it, in a third of the time: for comparing plans. */
export function onsetRangeOf(plan: SendPlan, traits: WireTraits, options: WireRunOptions = {}): OnsetRange {
  const { columns, count, event, releaseMicros } = plan;
  const { allowSysEx = false, settleMicros = 0 } = options;
  const { gapMicros, afterProgramMicros = 0, afterSysExMicros = 0 } = traits;
  const byte = microsPerByte(traits);
  const running = new RunningStatus(traits.runningStatus);
  const free = new Float64Array([Number.NEGATIVE_INFINITY]);
  let latest = 0;
  let earliest = 0;
  let heard = false;
  for (let row = 0; row < count; row += 1) {
    const source = event[row]!;
    const status = columns.status[source]!;
    const sysEx = status >= 0xf0 ? payloadKindOf(columns, source) : undefined;
    if (sysEx !== undefined && isHeldBack(sysEx) && !allowSysEx) continue;
    free[0] = Math.max(free[0]!, releaseMicros[row]!);
    free[0] += running.send(status, rowBytes(columns, source), free, 0) * byte;
    if (isNoteOn(columns, source)) {
      const lateness = free[0]! - columns.micros[source]!;
      heard = true;
      if (lateness > latest) latest = lateness;
      if (lateness < earliest) earliest = lateness;
    }
    const rest =
      sysEx === undefined ? 0 : sysEx === PayloadKind.reset && heard ? settleMicros : afterSysExMicros;
    const isProgram = (status & 0xf0) === 0xc0;
    free[0] += Math.max(rest, gapMicros + (isProgram ? afterProgramMicros : 0));
  }
  return { latestMicros: latest, distanceMicros: Math.max(latest, -earliest) };
}
