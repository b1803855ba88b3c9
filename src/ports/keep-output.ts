import type { KeptOutput } from './port-kind.ts';
import { portNamed } from './port-named.ts';

/**
 * Opens and watches an output's device, where it has one that wants it.
 * @param spec as on the command line
 * @param waitForDevice start although the device is not there yet, and begin with it when it comes
 * @throws Refusal when the port cannot be used
 */
export async function keepOutput(spec: string, waitForDevice: boolean): Promise<KeptOutput> {
  const named = portNamed(spec);
  return named?.kind.output?.keep?.(named.rest, waitForDevice) ?? { spec, async close() {} };
}
