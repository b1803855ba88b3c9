import { outputNamed } from './output-named.ts';
import type { OutputPort } from './output-port.ts';
import type { HowToOpen } from './port-kind.ts';

/**
 * Opens the output that the user named. A thread without an event loop hands in what `keepOutput` gave the
 * main thread; without it the keeper is made here and closed with the port.
 * @param spec `mock`, `file:<path>`, …: one of PORT_KINDS
 * @throws Refusal when there is no such kind, or the port cannot be opened
 */
export async function openOutput(spec: string, how: HowToOpen = {}): Promise<OutputPort> {
  const { kind, rest } = outputNamed(spec);
  if (how.link !== undefined || kind.keep === undefined) return kind.open(rest, how);
  const kept = await kind.keep(rest, how.waitForDevice ?? false);
  const port = await kind.open(outputNamed(kept.spec).rest, { ...how, link: kept.link });
  const closePort = port.close.bind(port);
  port.close = () => {
    closePort();
    void kept.close();
  };
  return port;
}
