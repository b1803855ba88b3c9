import { createObservedState } from '../../src/core/observe/create-observed-state.ts';
import { foldMessage } from '../../src/core/observe/fold-message.ts';
import { foldOnsetLateness, foldWire } from '../../src/core/observe/fold-wire.ts';
import { type ObservedState, Slot } from '../../src/core/observe/observed-state.ts';
import type { Timeline } from '../../src/core/timeline/timeline.ts';
import { fileOrderPlan } from '../../src/core/wire/file-order-plan.ts';
import { simulatePlan } from '../../src/core/wire/simulate-plan.ts';
import { MIDI_WIRE, microsPerByte } from '../../src/core/wire/wire-traits.ts';

/** What would have been observed of a song at `untilMicros` had it been sent in file order from run time 0. */
export function playIntoObserved(timeline: Timeline, untilMicros: number): ObservedState {
  const observed = createObservedState();
  const { numbers } = observed;
  numbers[Slot.bytesPerSecond] = 3_125;
  numbers[Slot.microsPerByte] = microsPerByte(MIDI_WIRE);
  const plan = fileOrderPlan(timeline.columns);
  const run = simulatePlan(plan, MIDI_WIRE);
  const at = new Float64Array(2);
  const wire = new Float64Array(3);
  for (let row = 0; row < plan.count; row += 1) {
    const event = plan.event[row]!;
    const micros = timeline.columns.micros[event]!;
    const status = timeline.columns.status[event]!;
    if (micros > untilMicros) break;
    if (status >= 0xf0) continue;
    at[0] = micros;
    at[1] = micros;
    wire[0] = run.startMicros[row]!;
    wire[1] = run.endMicros[row]!;
    const velocity = timeline.columns.data2[event]!;
    foldMessage(observed, status, timeline.columns.data1[event]!, velocity, at);
    foldWire(observed, status & 0x0f, Math.round((wire[1] - wire[0]) / microsPerByte(MIDI_WIRE)), wire);
    if ((status & 0xf0) === 0x90 && velocity > 0) foldOnsetLateness(observed, observed.ports[0]!, at, wire);
  }
  numbers[Slot.transport] = 1;
  numbers[Slot.positionMicros] = untilMicros;
  numbers[Slot.positionAtMicros] = untilMicros;
  return observed;
}
