import { describe, expect, test } from 'vitest';
import { ClockFollower } from '../../../src/core/follow/clock-follower.ts';
import { Follow, type LostClock } from '../../../src/core/follow/follow-state.ts';

const S = 1_000_000;
/** 24 pulses a quarter note (MIDI 1.0, p. 30), at 120 a minute; a song of a minute. */
const PERIOD = 500_000 / 24;
const PULSES = Float64Array.from({ length: 24 * 120 + 1 }, (_, n) => n * PERIOD);

describe('what the transport is told', () => {
  /** A follower alone, and what it says: a line as its place now (ms of the song) and its speed. */
  function told(onLost: LostClock = 'continue') {
    const said: string[] = [];
    const at = new Float64Array(1);
    const follower = new ClockFollower(
      { pulseMicros: PULSES, onLost },
      {
        pause: () => void said.push('pause'),
        play: () => void said.push('play'),
        seek: (micros) => void said.push(`seek ${Math.round(micros / 1000)}`),
        follow: ([zero, speed]) =>
          void said.push(
            speed === 0
              ? 'stand'
              : `at ${Math.round((zero! + speed! * at[0]!) / 1000)} x${speed!.toFixed(2)}`,
          ),
      },
    );
    const say = (micros: number, ...[status, data1 = 0, data2 = 0]: number[]): string[] => {
      at[0] = micros;
      if (status !== undefined) follower.message(status, data1, data2, at);
      return said.splice(0);
    };
    return { follower, at, said, say };
  }

  test('Start makes ready once, whatever comes again; from another place it goes back to the beginning', () => {
    const { say } = told();
    expect(say(0, 0xfa)).toEqual(['pause', 'stand', 'seek 0', 'play']);
    expect(say(1, 0xfa)).toEqual([]);
    expect(say(2, 0xf2, 4, 0)).toEqual(['seek 500']); // 24 clocks
    expect(say(3, 0xfa)).toEqual(['pause', 'stand', 'seek 0', 'play']);
    expect(say(4, 0xfb)).toEqual([]); // it is to begin anyway
    expect(say(5, 0xf8)).toEqual(['at 0 x1.00']);
    expect(say(6, 0xfb)).toEqual([]); // it goes on anyway
  });

  test('Continue stands until its clock; a pointer in mid-song is a jump; System Reset stops at the beginning', () => {
    const { say } = told();
    expect(say(0, 0xf2, 8, 0)).toEqual(['seek 1000']);
    expect(say(1, 0xfb)).toEqual(['stand', 'play']);
    expect(say(S, 0xf8)).toEqual(['at 1000 x1.00']);
    expect(say(S + PERIOD / 2, 0xf8)).toEqual(['at 1021 x2.00']);
    expect(say(S + PERIOD, 0xf2, 0, 1)).toEqual(['stand', 'seek 16000', 'play']); // 128 MIDI beats of 6 clocks
    expect(say(S + 1.5 * PERIOD, 0xf8)).toEqual(['at 16000 x2.00']);
    expect(say(2 * S, 0xfc)).toEqual(['pause']);
    expect(say(2 * S, 0xfe)).toEqual([]);
    expect(say(2 * S, 0xff)).toEqual(['pause', 'seek 0']);
  });

  test('somebody leaves once, and joins: before a Start, ready for one, in mid-song', () => {
    const { follower, at, said, say } = told();
    const join = () => {
      follower.join(at);
      return said.splice(0);
    };
    const leave = () => {
      follower.leave();
      return said.splice(0);
    };
    expect([leave(), leave()]).toEqual([['pause'], []]);
    expect(say(0, 0xf2, 4, 0)).toEqual([]);
    expect(join()).toEqual(['seek 500']);
    leave();
    expect(say(1, 0xfb)).toEqual([]);
    expect(join()).toEqual(['pause', 'stand', 'seek 500', 'play']);
    leave();
    for (const n of [0, 1, 2]) expect(say(S + n * PERIOD, 0xf8)).toEqual([]);
    expect(join()).toEqual(['pause', 'stand', 'seek 542', 'play', 'at 542 x1.00']);
    leave();
    expect(say(2 * S, 0xfc)).toEqual([]);
    expect(join()).toEqual(['seek 563']); // the clock that would come next
  });

  test('once lost it says so once, and the tempo is what the clock last had', () => {
    const { follower, at, said, say } = told('pause');
    expect(follower.tempo).toBe(0);
    say(0, 0xfa);
    for (const n of [0, 1, 2, 3]) say(n * PERIOD * 2, 0xf8);
    expect(follower.tempo).toBeCloseTo(60, 9);
    expect(follower.lostAt[0]).toBe(6 * PERIOD + 300_000);
    said.length = 0;
    at[0] = follower.lostAt[0]! - 1;
    follower.look(at);
    expect([follower.state, said]).toEqual([Follow.follows, []]);
    at[0] += 1;
    follower.look(at);
    follower.look(at);
    expect([follower.state, follower.losses, said]).toEqual([Follow.lost, 1, ['pause']]);
    expect(follower.lostAt[0]).toBe(Number.POSITIVE_INFINITY);
    expect(follower.tempo).toBeCloseTo(60, 9);
  });

  test('what could not be kept up with is as a Stop, and the clock of before says nothing of the next', () => {
    const { follower, at, said, say } = told();
    say(0, 0xfa);
    for (let n = 0; n < 30; n += 1) say(S + n * PERIOD, 0xf8);
    follower.break();
    expect([follower.state, said.splice(0)]).toEqual([Follow.waits, ['pause']]);
    at[0] = S + 30.4 * PERIOD;
    say(at[0], 0xf8);
    expect(follower.tracker.line[0]).toBe(at[0]);
    expect(follower.tempo).toBeCloseTo(120, 6);
  });
});
