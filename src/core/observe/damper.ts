import { Cc, isSwitchOn } from '../midi/controllers.ts';
import { NEVER_SEEN, type ObservedState } from './observed-state.ts';

/** The damper (hold 1) pedal. */
export function isDamperDown(state: ObservedState, channel: number): boolean {
  const value = state.controller[channel * 128 + Cc.damper]!;
  return isSwitchOn(value) && value !== NEVER_SEEN;
}
