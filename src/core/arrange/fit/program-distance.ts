import { DYING_FAMILIES, NEIGHBOUR_FAMILIES, SUB_GROUPS } from './program-groups.ts';

/** How near one program stands to another, nearest first. */
export const NEARNESS = ['same', 'sub-group', 'family', 'neighbour', 'envelope', 'any'] as const;

export type Nearness = (typeof NEARNESS)[number];

const GROUP_OF = new Uint8Array(128);
for (const [group, programs] of SUB_GROUPS.entries())
  for (const program of programs) GROUP_OF[program] = group;

export function nearnessOf(wished: number, other: number): Nearness {
  if (wished === other) return 'same';
  if (GROUP_OF[wished] === GROUP_OF[other]) return 'sub-group';
  const [family, its] = [wished >> 3, other >> 3];
  if (family === its) return 'family';
  if (NEIGHBOUR_FAMILIES[family]!.includes(its)) return 'neighbour';
  return DYING_FAMILIES[family] === DYING_FAMILIES[its] ? 'envelope' : 'any';
}

/** For comparing: a step of nearness outweighs any distance in number; of neighbours the nearer family comes first. */
export function programDistance(wished: number, other: number): number {
  const nearness = nearnessOf(wished, other);
  const family = nearness === 'neighbour' ? NEIGHBOUR_FAMILIES[wished >> 3]!.indexOf(other >> 3) : 0;
  return NEARNESS.indexOf(nearness) * 4096 + family * 256 + Math.abs(wished - other);
}
