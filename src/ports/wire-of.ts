import type { WireTraits } from '../core/wire/wire-traits.ts';
import { outputNamed } from './output-named.ts';

/**
 * The wire behind an output, known from its name alone: a plan is made before any port is open.
 * @throws Refusal when the name is none
 */
export function wireOf(spec: string): WireTraits {
  const { kind, rest } = outputNamed(spec);
  return kind.wire(rest);
}
