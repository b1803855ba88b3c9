import type { Area } from '../cells/area.ts';

export const CHANNELS = 16;

/** Where one lane stands among all of them, in one or two bands side by side. */
export function laneArea(area: Area, bands: 1 | 2, laneRows: 1 | 2, channel: number): Area {
  const width = Math.floor(area.width / bands);
  const perBand = CHANNELS / bands;
  return {
    x: area.x + Math.floor(channel / perBand) * width,
    y: area.y + (channel % perBand) * laneRows,
    width,
    height: laneRows,
  };
}
