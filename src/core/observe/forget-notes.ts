import type { ObservedState } from './observed-state.ts';

/** Takes a key as released, however often it was struck: we silenced it ourselves, off the wire we look at. */
export function forgetKey(state: ObservedState, channel: number, key: number): void {
  const cell = channel * 128 + key;
  if (state.strikes[cell]! > 0) state.sounding[channel]! -= 1;
  state.strikes[cell] = 0;
  state.velocity[cell] = 0;
  state.pedalHeld[cell] = 0;
}

/** The same for every key of the channels in `channels` (bit n = channel n). */
export function forgetChannels(state: ObservedState, channels: number): void {
  for (let channel = 0; channel < 16; channel += 1) {
    if ((channels & (1 << channel)) === 0) continue;
    for (let key = 0; key < 128; key += 1) forgetKey(state, channel, key);
  }
}
