import { LOST_MICROS } from '../follow/clock-follower.ts';
import { ClockInput, FOLLOW_STATES, type FollowState } from '../follow/follow-state.ts';
import { PULSES_PER_QUARTER } from '../timeline/clock-pulses.ts';
import { type ObservedState, Slot } from './observed-state.ts';

/** How it stands with a clock that is followed. */
export interface FollowedState {
  readonly state: Exclude<FollowState, 'none'>;
  /** Quarter notes a minute; 0 while not known, or while a clock that need not come does not. */
  readonly tempo: number;
  /** The music was paused here, and the clock goes on without it. */
  readonly isOut: boolean;
  readonly input: 'there' | 'gone' | 'ended';
}

/** Undefined where no clock is followed. */
export function followedClock(observed: ObservedState, nowMicros: number): FollowedState | undefined {
  const { numbers } = observed;
  const state = FOLLOW_STATES[numbers[Slot.followState]!] ?? 'none';
  if (state === 'none') return undefined;
  const isSilent = nowMicros - numbers[Slot.followLastMicros]! > LOST_MICROS;
  const input = numbers[Slot.followInput];
  return {
    state,
    tempo: isSilent && (state === 'waits' || state === 'armed') ? 0 : followedTempo(observed),
    isOut: numbers[Slot.followOut] === 1,
    input: input === ClockInput.lost ? 'gone' : input === ClockInput.ended ? 'ended' : 'there',
  };
}

/** Quarter notes a minute, of late; 0 while not known. */
export function followedTempo({ numbers }: ObservedState): number {
  const period = numbers[Slot.followPeriodMicros]!;
  return period > 0 ? 60_000_000 / (PULSES_PER_QUARTER * period) : 0;
}
