import { Cc } from '../../core/midi/controllers.ts';
import { NEVER_SEEN, type ObservedState } from '../../core/observe/observed-state.ts';
import { signedText } from '../format/moment.ts';
import type { Scene } from '../scene/scene.ts';

const PAN_CENTRE = 64;

/** Microseconds since anything was sent on the channel; undefined before the first. */
export function sinceActivity(scene: Scene, channel: number): number | undefined {
  const last = scene.observed.lastActivityMicros[channel]!;
  return last < 0 || scene.observed.messages[channel] === 0 ? undefined : Math.max(0, scene.nowMicros - last);
}

/** In use, and kept silent because another lane is solo. */
export function isWaiting(observed: ObservedState, channel: number): boolean {
  if (observed.messages[channel] === 0) return false;
  return observed.soloed[channel] === 0 && observed.soloed.some((on) => on > 0);
}

/** True where the person has changed something about the lane. */
export function isAltered(observed: ObservedState, channel: number): boolean {
  return (
    observed.velocityTrim[channel] !== 0 ||
    observed.channelTranspose[channel] !== 0 ||
    observed.programOverride[channel]! >= 0
  );
}

/** Second line of a tall lane: pan, modulation, and what the person has changed. */
export function laneSetting(observed: ObservedState, channel: number): string {
  const parts: string[] = [];
  const pan = observed.controller[channel * 128 + Cc.pan]!;
  if (pan !== NEVER_SEEN && pan !== PAN_CENTRE) parts.push(panText(pan));
  const modulation = observed.controller[channel * 128 + Cc.modulation]!;
  if (modulation !== NEVER_SEEN && modulation > 0) parts.push(`m${modulation}`);
  const trim = observed.velocityTrim[channel]!;
  if (trim !== 0) parts.push(`v${signedText(trim)}`);
  const shift = observed.channelTranspose[channel]!;
  if (shift !== 0) parts.push(`k${signedText(shift)}`);
  return parts.join(' ');
}

/** Pan as L64…C…R63: 0 is hard left, 64 the centre, 127 hard right (GM1). */
export function panText(value: number): string {
  if (value === PAN_CENTRE) return 'C';
  return value < PAN_CENTRE ? `L${PAN_CENTRE - value}` : `R${value - PAN_CENTRE}`;
}
