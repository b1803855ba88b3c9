import { Refusal } from '../trouble/refusal.ts';
import type { OutputKind } from './port-kind.ts';
import { PORT_KINDS } from './port-kinds.ts';
import { portNamed } from './port-named.ts';

/**
 * The kind of output that the user named, before anything is opened.
 * @throws Refusal when there is none of that name
 */
export function outputNamed(spec: string): { readonly kind: OutputKind; readonly rest: string } {
  const named = portNamed(spec);
  if (named?.kind.output === undefined) {
    const known = PORT_KINDS.filter(({ output }) => output !== undefined).map(({ usage }) => usage);
    throw new Refusal('there is no such port', `port ${spec}`, `use ${known.join(', ')}`);
  }
  return { kind: named.kind.output, rest: named.rest };
}
