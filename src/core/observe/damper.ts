import { NEVER_SEEN, type ObservedState } from './observed-state.ts';

/** The damper (hold 1) pedal's controller (MIDI 1.0, Table III). */
export const DAMPER = 64;

/** 64 and above is down (MIDI 1.0, p. 12). */
export function isDamperDown(state: ObservedState, channel: number): boolean {
  const value = state.controller[channel * 128 + DAMPER]!;
  return value >= 64 && value !== NEVER_SEEN;
}
