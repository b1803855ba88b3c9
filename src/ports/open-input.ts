import { Refusal } from '../trouble/refusal.ts';
import type { HowToListen, InputPort } from './input-port.ts';
import { PORT_KINDS } from './port-kinds.ts';
import { portNamed } from './port-named.ts';

/**
 * Opens the input that the user named, in a thread with an event loop.
 * @param spec one of PORT_KINDS, or `-` for standard input
 * @throws Refusal when there is no such kind, or the input cannot be opened
 */
export async function openInput(spec: string, how: HowToListen): Promise<InputPort> {
  const named = portNamed(spec === '-' ? 'stdin' : spec);
  const input = named?.kind.input;
  if (named === undefined || input === undefined || (named.rest === '' && !named.kind.bare)) {
    const known = PORT_KINDS.filter((kind) => kind.input !== undefined).map(({ usage }) => usage);
    throw new Refusal('there is no such input', `port ${spec}`, `use ${known.join(', ')}`);
  }
  return input.open(named.rest, how);
}
