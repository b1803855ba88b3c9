import { keepOutput } from '../../ports/keep-output.ts';
import type { KeptOutput } from '../../ports/port-kind.ts';
import type { PlayerOptions } from '../run/player-options.ts';
import type { LaneSpec } from './open-lanes.ts';
import { type KeptRecord, keepRecord } from './record-taps.ts';

/**
 * Opens and watches, in the main thread, what has an event loop to it, the record's file among it; the sending
 * thread opens its own end.
 * @param tell hears what goes wrong beside the music (see `Player.troubles`)
 * @throws Refusal as `keepOutput` does, or when the record cannot be made; then nothing is kept
 */
export async function keepLanes(
  options: PlayerOptions,
  tell: (trouble: string) => void,
): Promise<{ readonly lanes: LaneSpec[]; close(): Promise<void> }> {
  const kept: KeptOutput[] = [];
  let record: KeptRecord | undefined;
  const close = async (): Promise<void> => {
    record?.close();
    for (const output of kept) await output.close();
  };
  try {
    for (const { port } of options.outputs) {
      const link = options.inputs?.ears.find(({ spec }) => spec === port)?.link;
      const isShared = link !== undefined;
      kept.push(isShared ? sharedOutput(port, link) : await keepOutput(port, options.waitForDevice ?? false));
    }
    if (options.recordPath !== undefined) {
      record = keepRecord(
        options.recordPath,
        kept.map(({ spec }) => spec),
        tell,
      );
    }
  } catch (error) {
    await close();
    throw error;
  }
  const lanes = options.outputs.map((output, index) => ({
    ...output,
    port: kept[index]!.spec,
    link: kept[index]!.link,
    tap: record?.ring,
  }));
  return { lanes, close };
}

/** Kept with the input that is the same device, and closed there. */
function sharedOutput(spec: string, link: SharedArrayBuffer): KeptOutput {
  return { spec, link, async close() {} };
}
