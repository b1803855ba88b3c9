import { MIDI_WIRE, microsPerByte, type WireTraits } from '../../core/wire/wire-traits.ts';
import { wireOf } from '../../ports/wire-of.ts';
import { outputsOf } from '../options/outputs.ts';

/** One plan serves all ports, so it is made for the slowest of them, counting as carefully as any wants. */
export function slowestWire(wires: readonly WireTraits[]): WireTraits {
  return wires.reduce((slow, wire) => {
    const runningStatus = slow.runningStatus === 'ours' ? wire.runningStatus : 'device';
    const slower = microsPerByte(wire) > microsPerByte(slow) ? wire : slow;
    const most = (rest: (each: WireTraits) => number | undefined) =>
      Math.max(rest(slow) ?? 0, rest(wire) ?? 0);
    return {
      ...slower,
      runningStatus,
      gapMicros: most((each) => each.gapMicros),
      afterProgramMicros: most((each) => each.afterProgramMicros),
      afterSysExMicros: most((each) => each.afterSysExMicros),
    };
  }, wires[0] ?? MIDI_WIRE);
}

/** The wire that a plan for these ports is made for, as far as the ports themselves decide it. */
export function wireOfPorts(ports: readonly string[]): WireTraits {
  return slowestWire(outputsOf(ports, undefined).map(({ port }) => wireOf(port)));
}
