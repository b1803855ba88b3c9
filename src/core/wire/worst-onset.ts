import { rowBytes } from './message-length.ts';
import { isNoteOn } from './note-row.ts';
import { RunningStatus } from './running-status.ts';
import type { SendPlan } from './send-plan.ts';
import type { WireRunOptions } from './simulate-plan.ts';
import { sysExKindOf } from './sysex-kind.ts';
import { microsPerByte, type WireTraits } from './wire-traits.ts';

/** The worst onset lateness of a plan (µs) and nothing else: what `simulatePlan` would find, in a third of the time. */
export function worstOnsetOf(plan: SendPlan, traits: WireTraits, options: WireRunOptions = {}): number {
  const { columns, count, event, releaseMicros } = plan;
  const byte = microsPerByte(traits);
  const running = new RunningStatus(traits.runningStatus);
  const free = new Float64Array([Number.NEGATIVE_INFINITY]);
  let worst = 0;
  for (let row = 0; row < count; row++) {
    const source = event[row]!;
    const status = columns.status[source]!;
    const sysEx = status >= 0xf0 ? sysExKindOf(columns, source) : undefined;
    if (sysEx === 'own' && !options.allowSysEx) continue;
    free[0] = Math.max(free[0]!, releaseMicros[row]!);
    free[0] += running.send(status, rowBytes(columns, source), free, 0) * byte;
    if (isNoteOn(columns, source)) worst = Math.max(worst, free[0]! - columns.micros[source]!);
    free[0] += traits.gapMicros;
    if (sysEx === 'reset' && options.settleMicros) free[0] += options.settleMicros;
  }
  return worst;
}
