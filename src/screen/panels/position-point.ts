import type { Area } from '../cells/area.ts';
import type { Pointed } from '../pointer/pointed.ts';
import type { Mouse } from '../terminal/mouse.ts';
import { songBar } from './position-painter.ts';

/** The place of the song that a cell of the bar stands for: the middle of its stretch. */
export function pointPosition(area: Area, mouse: Mouse): Pointed | undefined {
  const bar = songBar(area);
  const cell = mouse.x - bar.x;
  if (mouse.button !== 'left' || cell < 0 || cell >= bar.width) return undefined;
  return { action: 'go-to-percent', count: ((cell + 0.5) / bar.width) * 100 };
}
