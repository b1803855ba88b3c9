import { type ObservedState, Slot } from '../../core/observe/observed-state.ts';
import type { SongSettings } from '../../show/set-schema.ts';

/** What was set on the screen, in a set's own terms: channels and programs from 1. */
export function settingsInForce(observed: ObservedState): SongSettings {
  const { numbers, muted, soloed, programOverride } = observed;
  const channels = (table: Uint8Array) =>
    [...table].flatMap((on, channel) => (on === 0 ? [] : [channel + 1]));
  const programs = [...programOverride].flatMap((program, channel) =>
    program < 0 ? [] : [[String(channel + 1), program + 1] as const],
  );
  return {
    tempo: Math.round(numbers[Slot.tempoScale]! * 100),
    transpose: numbers[Slot.transpose]!,
    mute: channels(muted),
    solo: channels(soloed),
    programs: Object.fromEntries(programs),
  };
}
