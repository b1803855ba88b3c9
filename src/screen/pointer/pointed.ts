import type { ActionName } from '../actions/actions.ts';
import type { Area } from '../cells/area.ts';
import type { Mouse } from '../terminal/mouse.ts';

/** What a click means: an action of the key table, and the number typed before its key. */
export interface Pointed {
  readonly action: ActionName;
  readonly count: number;
}

/** Tells what a click in an area means, by the coordinates its painter uses. */
export type PointTarget = (area: Area, mouse: Mouse) => Pointed | undefined;

/** What can be pointed at; docs/keys.md prints it. */
export const POINTER_TABLE: readonly (readonly [where: string, what: string, action: ActionName])[] = [
  ['a lane', 'chooses it', 'choose-lane'],
  ["a lane's sign (`M`, `S`, or the cells where they would stand)", 'mutes it or not', 'mute'],
  ['the same with the right button', 'solo or not', 'solo'],
  ['the position bar', 'goes there', 'go-to-percent'],
];
