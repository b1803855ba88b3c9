import { type Area, isInside } from './cells/area.ts';
import type { Pointed } from './pointer/pointed.ts';
import type { ScreenPart } from './screen-parts.ts';
import type { Mouse } from './terminal/mouse.ts';

/** What a click means; nothing where a dialog lies over the parts. */
export function pointedAt(
  mouse: Mouse,
  parts: readonly ScreenPart[],
  cover: Area | undefined,
): Pointed | undefined {
  if (cover !== undefined && isInside(cover, mouse.x, mouse.y)) return undefined;
  const part = parts.find(({ area }) => isInside(area, mouse.x, mouse.y));
  return part !== undefined && 'point' in part ? part.point?.(part.area, mouse) : undefined;
}
