import type { KeptInput } from './port-kind.ts';
import { portNamed } from './port-named.ts';

/**
 * @param spec as on the command line
 * @throws Refusal when the device cannot be used
 */
export async function keepInput(spec: string, waitForDevice: boolean): Promise<KeptInput> {
  const named = portNamed(spec);
  return named?.kind.input?.keep?.(named.rest, waitForDevice) ?? { async close() {} };
}
