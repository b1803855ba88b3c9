import type { PortKind } from './port-kind.ts';
import { PORT_KINDS } from './port-kinds.ts';

/** The kind that a port's name (`serial:/dev/ttyS0`) begins with, and what follows; undefined where there is none. */
export function portNamed(spec: string): { readonly kind: PortKind; readonly rest: string } | undefined {
  const name = spec.split(':', 1)[0]!;
  const kind = PORT_KINDS.find((each) => each.name === name);
  if (kind === undefined || (name === spec) !== (kind.bare ?? false)) return undefined;
  return { kind, rest: spec.slice(name.length + 1) };
}
