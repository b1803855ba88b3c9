import type { PortKind } from './port-kind.ts';
import { PORT_KINDS } from './port-kinds.ts';

/** The kind that a port's name (`serial:/dev/ttyS0`) begins with, and what follows; undefined where there is none. */
export function portNamed(spec: string): { readonly kind: PortKind; readonly rest: string } | undefined {
  const colon = spec.indexOf(':');
  const name = colon < 0 ? spec : spec.slice(0, colon);
  const kind = PORT_KINDS.find((each) => each.name === name);
  if (kind === undefined || colon < 0 !== (kind.bare ?? false)) return undefined;
  return { kind, rest: colon < 0 ? '' : spec.slice(colon + 1) };
}
