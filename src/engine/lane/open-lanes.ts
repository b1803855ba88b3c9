import { wireFor } from '../../core/wire/wire-for.ts';
import { openOutput } from '../../ports/open-output.ts';
import type { OutputPort } from '../../ports/output-port.ts';
import type { OutputSpec } from '../run/player-options.ts';
import { tapLanes } from './record-taps.ts';
import type { LanePort } from './wire-outlet.ts';

/** An output and, where another thread keeps its device, the link to the keeper. */
export interface LaneSpec extends OutputSpec {
  readonly link?: SharedArrayBuffer | undefined;
  /** `KeptRecord.ring`, the same for every output of a run that is recorded. */
  readonly tap?: SharedArrayBuffer | undefined;
}

/**
 * Opens every output, or none: when one is refused, those already open are closed again.
 * @throws Refusal as `openOutput` does
 */
export async function openLanes(outputs: readonly LaneSpec[], waitForDevice = false): Promise<LanePort[]> {
  const opened: OutputPort[] = [];
  try {
    for (const { port, link, replace } of outputs)
      opened.push(await openOutput(port, { link, waitForDevice, replace }));
  } catch (error) {
    for (const port of opened) port.close();
    throw error;
  }
  const lanes = outputs.map(({ channels, instrument }, index) => ({
    port: opened[index]!,
    wire: wireFor(opened[index]!.wire, instrument),
    channels,
  }));
  const tap = outputs[0]?.tap;
  return tap === undefined ? lanes : tapLanes(lanes, tap);
}
