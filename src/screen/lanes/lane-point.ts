import { type Area, isInside } from '../cells/area.ts';
import type { Pointed } from '../pointer/pointed.ts';
import type { Mouse } from '../terminal/mouse.ts';
import { CHANNELS, laneArea } from './lane-area.ts';
import { laneColumnsFor } from './lane-columns.ts';

/** A lane is chosen; where its mute and solo signs stand, it is muted (left button) or solo (right). */
export function pointLanes(area: Area, mouse: Mouse, bands: 1 | 2, laneRows: 1 | 2): Pointed | undefined {
  for (let channel = 0; channel < CHANNELS; channel += 1) {
    const lane = laneArea(area, bands, laneRows, channel);
    if (!isInside(lane, mouse.x, mouse.y)) continue;
    const { sign, name } = laneColumnsFor(lane.width);
    const column = mouse.x - lane.x;
    const isSign = column >= sign && column < name;
    if (isSign) return { action: mouse.button === 'right' ? 'solo' : 'mute', count: channel + 1 };
    return mouse.button === 'left' ? { action: 'choose-lane', count: channel + 1 } : undefined;
  }
  return undefined;
}
