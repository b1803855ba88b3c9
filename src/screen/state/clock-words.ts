import { type FollowedState, followedClock } from '../../core/observe/followed-clock.ts';
import type { ObservedState } from '../../core/observe/observed-state.ts';
import { transportState } from '../../core/observe/song-position.ts';
import { cleanText } from '../format/text-cleaning.ts';

/** What is to be said of a clock that is followed, in ever fewer words; `isTrouble`: something is missing. */
export interface ClockWords {
  readonly texts: readonly [string, ...string[]];
  readonly isTrouble: boolean;
}

/** Undefined while all goes as it should, and where no clock is followed. @param from the input as it was named */
export function clockWords(
  observed: ObservedState,
  from: string | undefined,
  nowMicros: number,
): ClockWords | undefined {
  const followed = followedClock(observed, nowMicros);
  if (followed === undefined || from === undefined || transportState(observed) === 'ended') return undefined;
  const { state, input, isOut, tempo } = followed;
  const name = cleanText(from);
  const goesOn = transportState(observed) === 'playing' ? 'the music goes on' : 'the music waits';
  if (input === 'gone') {
    const texts = [`the clock ${name} is gone; ${goesOn}`, 'the clock is gone'] as const;
    return { texts, isTrouble: true };
  }
  if (state === 'lost') {
    const texts = [`no clock comes from ${name}; ${goesOn}`, `no clock; ${goesOn}`, 'no clock'] as const;
    return { texts, isTrouble: true };
  }
  if (isOut) {
    const texts = ['paused; the clock goes on, space joins it', 'paused; space joins the clock'] as const;
    return { texts, isTrouble: false };
  }
  if (state === 'armed') return { texts: ['started; waits for the first clock'], isTrouble: false };
  if (state !== 'waits') return undefined;
  const what = tempo > 0 ? 'Start' : 'the clock';
  return { texts: [`waits for ${what} from ${name}`, `waits for ${what}`], isTrouble: false };
}

/** State and tempo in a word or two, for a line that is read later. */
export function clockStatus(observed: ObservedState, nowMicros: number): string | undefined {
  const followed = followedClock(observed, nowMicros);
  if (followed === undefined) return undefined;
  const { input, tempo } = followed;
  const parts = [STATE_WORDS[stateOf(followed)]];
  if (tempo > 0) parts.push(`${tempo.toFixed(1)} a minute`);
  if (input !== 'there') parts.push(`its input ${input === 'gone' ? 'gone' : 'at its end'}`);
  return `clock ${parts.join(' ')}`;
}

type ClockState = FollowedState['state'] | 'out';

function stateOf({ state, isOut }: FollowedState): ClockState {
  return isOut ? 'out' : state;
}

const STATE_WORDS: Readonly<Record<ClockState, string>> = {
  waits: 'waited for',
  armed: 'started',
  follows: 'followed',
  lost: 'lost',
  out: 'left out',
};
