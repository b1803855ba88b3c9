import { keepInput } from '../ports/keep-input.ts';
import { keepOutput } from '../ports/keep-output.ts';
import type { KeptOutput } from '../ports/port-kind.ts';
import type { ListenLinks, ListenOptions } from './listener.ts';

export interface KeptDevices {
  readonly links: ListenLinks;
  /** What `thru` is to be opened as: `interface:` with the port's lasting name instead of an index. */
  readonly thru: string | undefined;
  close(): Promise<void>;
}

/**
 * Opens and watches, in the main thread, the devices that want it. Listening to a UART and passing on to the
 * same one takes one keeper for both directions.
 * @throws Refusal when a device cannot be used; then nothing is kept
 */
export async function keepDevices(options: ListenOptions): Promise<KeptDevices> {
  const wait = options.waitForDevice ?? false;
  const from = await keepInput(options.from, wait);
  const shared = from.link !== undefined && options.thru === options.from;
  let thru: KeptOutput | undefined;
  try {
    if (options.thru !== undefined && !shared) thru = await keepOutput(options.thru, wait);
  } catch (error) {
    await from.close();
    throw error;
  }
  return {
    links: { from: from.link, thru: shared ? from.link : thru?.link },
    thru: thru?.spec ?? options.thru,
    async close() {
      await from.close();
      await thru?.close();
    },
  };
}
