import { describe, expect, test } from 'vitest';
import { ClockInput, Follow } from '../../../src/core/follow/follow-state.ts';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { followedClock, followedTempo } from '../../../src/core/observe/followed-clock.ts';
import { Slot } from '../../../src/core/observe/observed-state.ts';

/** At 120 quarters a minute and 24 pulses a quarter (MIDI 1.0, p. 30) one each 20,833 1/3 µs; the last came at 1,000. */
function seen(state: number, numbers: Partial<Record<keyof typeof Slot, number>> = {}) {
  const observed = createObservedState();
  const all = { followState: state, followPeriodMicros: 62_500 / 3, followLastMicros: 1000, ...numbers };
  for (const [slot, value] of Object.entries(all)) observed.numbers[Slot[slot as keyof typeof Slot]] = value;
  return observed;
}

describe('a clock that is followed', () => {
  test('none, or a number of no state: nothing is told', () => {
    expect(followedClock(seen(Follow.none), 0)).toBeUndefined();
    expect(followedClock(seen(9), 0)).toBeUndefined();
  });

  test.each([
    ['waits', 301_000, 120],
    ['waits', 301_001, 0],
    ['armed', 301_000, 120],
    ['armed', 301_001, 0],
    ['follows', 301_001, 120],
    ['lost', 301_001, 120],
  ] as const)('%s, at %i µs: a tempo of %i', (state, now, tempo) => {
    const told = followedClock(seen(Follow[state]), now);
    expect(told).toEqual({ state, tempo: expect.closeTo(tempo, 9), isOut: false, input: 'there' });
  });

  test.each([
    [ClockInput.there, 'there'],
    [ClockInput.lost, 'gone'],
    [ClockInput.ended, 'ended'],
  ])('input %i is %s', (followInput, input) => {
    expect(followedClock(seen(Follow.follows, { followInput }), 0)).toMatchObject({ input });
  });

  test('the music was paused, and the clock goes on without it', () => {
    expect(followedClock(seen(Follow.follows, { followOut: 1 }), 0)).toMatchObject({ isOut: true });
  });

  test('with no period there is no tempo', () => {
    expect(followedTempo(seen(Follow.follows, { followPeriodMicros: 0 }))).toBe(0);
    expect(followedTempo(seen(Follow.follows, { followPeriodMicros: 0.5 }))).toBe(5_000_000);
  });
});
