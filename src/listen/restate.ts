import { NEVER_SEEN, type ObservedState } from '../core/observe/observed-state.ts';
import type { Outlet } from '../core/schedule/outlet.ts';
import { BEND_CENTRE } from '../core/schedule/rest-values.ts';

/**
 * Sends again what a sender has set on these channels, as far as one value a controller tells it: after the far
 * end was silenced or lost its power. Bank before program (MIDI 1.0, p. 13). Parameter selections and data
 * entry are left out: their values depend on an order that is not kept.
 * @param channels bit n for channel n
 */
export function restate(heard: ObservedState, outlet: Outlet, channels: number, at: Float64Array): void {
  for (let channel = 0; channel < 16; channel += 1) {
    if ((channels & (1 << channel)) === 0 || heard.messages[channel] === 0) continue;
    const program = heard.program[channel]!;
    if (program !== NEVER_SEEN) {
      for (const [controller, value] of [
        [0, heard.bankMsb[channel]!],
        [32, heard.bankLsb[channel]!],
      ] as const) {
        if (value !== NEVER_SEEN) outlet.message(0xb0 | channel, controller, value, at);
      }
      outlet.message(0xc0 | channel, program, 0, at);
    }
    for (let controller = 1; controller < 120; controller += 1) {
      const value = heard.controller[channel * 128 + controller]!;
      if (value === NEVER_SEEN || ORDERED.has(controller)) continue;
      outlet.message(0xb0 | channel, controller, value, at);
    }
    const bend = heard.bend[channel]!;
    if (bend !== BEND_CENTRE) outlet.message(0xe0 | channel, bend & 127, bend >> 7, at);
  }
}

/** Bank select LSB, data entry, increment and decrement, parameter selection. */
const ORDERED: ReadonlySet<number> = new Set([6, 32, 38, 96, 97, 98, 99, 100, 101]);
