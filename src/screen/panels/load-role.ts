import type { Role } from '../theme/roles.ts';

/** How a share of the wire is told in colour. */
export function loadRole(load: number): Role {
  if (load >= 0.95) return 'bad';
  return load >= 0.7 ? 'warn' : 'good';
}
