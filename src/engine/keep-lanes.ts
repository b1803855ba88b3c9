import { type KeptOutput, keepOutput } from '../ports/keep-output.ts';
import type { LaneSpec } from './open-lanes.ts';
import type { PlayerOptions } from './player-options.ts';

/**
 * Opens and watches, in the main thread, what has an event loop to it; the sending thread opens its own end.
 * @throws Refusal as `keepOutput` does; then nothing is kept
 */
export async function keepLanes(
  options: PlayerOptions,
): Promise<{ readonly lanes: LaneSpec[]; close(): Promise<void> }> {
  const kept: KeptOutput[] = [];
  const close = async (): Promise<void> => {
    for (const output of kept) await output.close();
  };
  try {
    for (const { port } of options.outputs) kept.push(await keepOutput(port, options.waitForDevice ?? false));
  } catch (error) {
    await close();
    throw error;
  }
  const lanes = options.outputs.map((output, index) => ({
    ...output,
    port: kept[index]!.spec,
    link: kept[index]!.link,
  }));
  return { lanes, close };
}
