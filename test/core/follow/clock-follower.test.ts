import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ClockFollower } from '../../../src/core/follow/clock-follower.ts';
import { Follow, type LostClock } from '../../../src/core/follow/follow-state.ts';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { transportState } from '../../../src/core/observe/song-position.ts';
import { seeded } from '../../support/seeded.ts';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';
import { VirtualRun } from '../../support/virtual-run.ts';

const S = 1_000_000;
const PERIOD = 500_000 / 24;
/** A song at 120: a note on each quarter for a minute. */
const QUARTERS = 120;
const PULSES = Float64Array.from({ length: 24 * QUARTERS + 1 }, (_, n) => n * PERIOD);
const SONG: TimedBytes[] = Array.from({ length: QUARTERS }, (_, n): TimedBytes[] => [
  [n * 0.5 * S, 0x90, 60, 100],
  [n * 0.5 * S + 0.2 * S, 0x80, 60, 64],
]).flat();

/** A song that follows, fed as an input would feed it. */
class Following {
  readonly run: VirtualRun;
  readonly follower: ClockFollower;
  readonly #at = new Float64Array(1);

  constructor(onLost: LostClock = 'continue', startMicros = 0, rows: readonly TimedBytes[] = SONG) {
    const run = new VirtualRun(planOf(timelineOf(rows)));
    this.run = run;
    this.follower = new ClockFollower(
      { pulseMicros: PULSES, onLost, startMicros },
      {
        pause: () => void run.send({ kind: 'pause' }),
        play: () => void run.send({ kind: 'play' }),
        seek: (micros) => void run.send({ kind: 'seek', micros }),
        follow: ([songAtZero, scale]) => void run.follow(songAtZero!, scale!),
      },
    );
    run.follow(0, 0);
  }

  /** Bytes that arrive at a run time. On the way a clock that falls silent is noticed. */
  at(micros: number, ...bytes: number[]): this {
    this.to(micros);
    const [status, data1 = 0, data2 = 0] = bytes;
    this.#at[0] = micros;
    this.follower.message(status!, data1, data2, this.#at);
    return this;
  }

  to(micros: number): this {
    const lostAt = this.follower.lostAt[0]!;
    if (lostAt < micros) {
      this.run.to(Math.max(lostAt, this.run.now));
      this.#at[0] = this.run.now;
      this.follower.look(this.#at);
    }
    this.run.to(Math.max(micros, this.run.now));
    return this;
  }

  /** Steady pulses at run times `from` + n · `period`, n from `first` up to `last`. */
  pulses(from: number, first: number, last: number, period = PERIOD): this {
    for (let n = first; n <= last; n += 1) this.at(from + (n - first) * period, 0xf8);
    return this;
  }

  leave(): this {
    this.follower.leave();
    return this;
  }

  join(): this {
    this.#at[0] = this.run.now;
    this.follower.join(this.#at);
    return this;
  }

  get onsets(): number[] {
    return this.run.sent.filter(({ bytes }) => bytes[0] === 0x90).map(({ due }) => due);
  }

  get sounding(): number {
    const count = (status: number) => this.run.sent.filter(({ bytes }) => bytes[0] === status).length;
    return count(0x90) - count(0x80);
  }
}

describe('Start, Stop, Continue, Song Position (MIDI 1.0, p. 27–30)', () => {
  test('play begins at the first clock after Start, not at Start', () => {
    const song = new Following().at(1 * S, 0xfa);
    song.run.to(3 * S);
    expect(song.onsets).toEqual([]);
    song.at(3 * S, 0xf8).at(3 * S + PERIOD, 0xf8);
    expect(song.onsets).toEqual([3 * S]);
    expect(song.follower.clocks).toBe(2);
  });

  test('each quarter stands where its clock stands', () => {
    const song = new Following().at(1 * S, 0xfa);
    for (let n = 0; n < 24 * 8; n++) song.at(1.01 * S + n * PERIOD, 0xf8);
    expect(song.onsets.map((due) => Math.round(due))).toEqual(
      Array.from({ length: 8 }, (_, n) => Math.round(1.01 * S + n * 24 * PERIOD)),
    );
  });

  test('a clock at another tempo than the song’s is what counts', () => {
    const song = new Following().at(0, 0xfa);
    for (let n = 0; n < 24 * 4; n++) song.at(S + n * PERIOD * 1.6, 0xf8);
    expect(song.onsets.map((due) => Math.round((due - S) / 1000))).toEqual([0, 800, 1600, 2400]);
  });

  test('the published pointer: F2 0A 00 is 60 clocks in (p. 27); play goes on there after Continue', () => {
    const song = new Following().at(S, 0xf2, 10, 0).at(1.1 * S, 0xfb);
    for (let n = 0; n < 24; n++) song.at(1.2 * S + n * PERIOD, 0xf8);
    // 60 clocks are two and a half quarters: the third comes half a quarter, twelve clocks, on.
    expect(song.onsets.map((due) => Math.round(due))).toEqual([Math.round(1.2 * S + 12 * PERIOD)]);
  });

  test('Stop silences at once; Continue goes on with the next clock', () => {
    const song = new Following().at(0, 0xfa);
    for (let n = 0; n <= 26; n++) song.at(S + n * PERIOD, 0xf8);
    expect(song.sounding).toBe(1);
    song.at(S + 26.5 * PERIOD, 0xfc);
    expect(song.sounding).toBe(0);
    // Clocks while stopped are not counted.
    for (let n = 27; n < 60; n++) song.at(S + n * PERIOD, 0xf8);
    song.at(5 * S, 0xfb);
    for (let n = 0; n < 24; n++) song.at(5.1 * S + n * PERIOD, 0xf8);
    // Clock 27 comes at 5.1 s, so clock 48, the third quarter, 21 clocks later.
    expect(Math.round(song.onsets.at(-1)!)).toBe(Math.round(5.1 * S + 21 * PERIOD));
  });
});

describe('a clock that falls silent', () => {
  const playing = (onLost: LostClock) => {
    const song = new Following(onLost).at(0, 0xfa);
    for (let n = 0; n <= 30; n++) song.at(S + n * PERIOD, 0xf8);
    return song;
  };

  test('held: the music goes on in the last tempo', () => {
    const song = playing('continue');
    song.at(4.1 * S, 0xfe);
    expect(song.follower.state).toBe(Follow.lost);
    expect(song.onsets.map((due) => Math.round(due / 1000))).toEqual([
      1000, 1500, 2000, 2500, 3000, 3500, 4000,
    ]);
  });

  test('stopped: nothing sounds, and it goes on when the clock comes again', () => {
    const song = playing('pause');
    song.at(4 * S, 0xfe);
    expect(song.sounding).toBe(0);
    expect(song.onsets).toHaveLength(2);
    for (let n = 0; n < 24; n++) song.at(5 * S + n * PERIOD, 0xf8);
    expect(song.onsets).toHaveLength(3);
  });
});

describe('finer points of the transport', () => {
  const bytesFrom = (song: Following, count: number) =>
    song.run.sent.slice(count).flatMap(({ bytes }) => bytes);

  test('Continue strikes nothing again that Stop has silenced', () => {
    const song = new Following().at(0, 0xfa).pulses(S, 0, 30);
    song
      .at(1.7 * S, 0xfc)
      .at(3 * S, 0xfb)
      .pulses(3.1 * S, 31, 40);
    // Quarters stand at clocks 0, 24 and 48: between 31 and 40 there is none.
    expect(song.onsets).toHaveLength(2);
    expect(song.sounding).toBe(0);
  });

  test('Continue while the music plays changes nothing', () => {
    const song = new Following().at(0, 0xfa).pulses(S, 0, 26);
    const sent = song.run.sent.length;
    song.at(S + 26.5 * PERIOD, 0xfb);
    expect(song.run.sent).toHaveLength(sent);
    expect(song.sounding).toBe(1);
  });

  test('a second Start begins anew at its clock, and what sounded is released', () => {
    const song = new Following().at(0, 0xfa).pulses(S, 0, 26);
    song.at(S + 26.4 * PERIOD, 0xfa);
    expect(song.sounding).toBe(0);
    song.pulses(S + 27 * PERIOD, 0, 3);
    expect(song.onsets.map((due) => Math.round(due))).toEqual(
      [S, S + 24 * PERIOD, S + 27 * PERIOD].map(Math.round),
    );
  });

  test('a clock that came before Start and begins anew with it: its grid counts, and the tempo is known', () => {
    const song = new Following().pulses(0, 0, 96).at(96.2 * PERIOD, 0xfa);
    song.pulses(96.4 * PERIOD, 0, 50);
    expect(song.onsets.map((due) => Math.round(due))).toEqual(
      [0, 24, 48].map((clock) => Math.round((96.4 + clock) * PERIOD)),
    );
  });

  test('a flood of Starts is one', () => {
    const song = new Following().at(0, 0xfa);
    const sent = song.run.sent.length;
    for (let n = 1; n < 3000; n += 1) song.at(n * 320, 0xfa);
    expect(song.run.sent).toHaveLength(sent);
    song.pulses(S, 0, 2);
    expect(song.onsets).toEqual([S]);
  });

  test('Song Position while the music plays is a jump, with what sounds released and the state of the place', () => {
    const song = new Following('continue', 0, [[30 * S, 0xc0, 7], ...SONG]).at(0, 0xfa).pulses(S, 0, 26);
    const sent = song.run.sent.length;
    // 31 s in, at 120 a minute, are 62 quarters or 248 sixteenths.
    song.at(S + 26.4 * PERIOD, 0xf2, 248 & 127, 248 >> 7);
    expect(song.sounding).toBe(0);
    expect(bytesFrom(song, sent).join(' ')).toContain('192 7');
    song.pulses(S + 27 * PERIOD, 0, 3);
    expect(Math.round(song.onsets.at(-1)!)).toBe(Math.round(S + 27 * PERIOD));
  });

  test('System Reset stops and goes back to the beginning (p. 33)', () => {
    const song = new Following().at(0, 0xfa).pulses(S, 0, 50);
    song.at(S + 50.5 * PERIOD, 0xff);
    expect(song.sounding).toBe(0);
    song.at(4 * S, 0xfb).pulses(4.1 * S, 0, 2);
    expect(song.onsets.at(-1)).toBe(4.1 * S);
    expect(song.run.observed.numbers[Slot.positionMicros]).toBeLessThan(0.1 * S);
  });

  test('Start begins where the music was asked to begin', () => {
    const song = new Following('continue', 10 * S).at(0, 0xfa).pulses(S, 0, 2);
    expect(song.onsets).toEqual([S]);
    expect(song.run.observed.numbers[Slot.positionMicros]).toBeGreaterThanOrEqual(10 * S);
  });

  test('the song ends while the clock goes on, and a new Start plays it again', () => {
    const song = new Following().at(0, 0xf2, 0x5c, 3).at(1, 0xfb).pulses(S, 0, 100);
    // 476 sixteenths are 119 quarters: the last note, 200 ms long, and the end.
    expect(transportState(song.run.observed)).toBe('ended');
    expect(song.sounding).toBe(0);
    song.at(3.2 * S, 0xfa).pulses(3.3 * S, 0, 3);
    expect(song.onsets.at(-1)).toBe(3.3 * S);
  });
});

describe('somebody pauses, and joins the clock again', () => {
  test('silent meanwhile; then in time, where the clock has come to', () => {
    const song = new Following().at(0, 0xfa).pulses(S, 0, 26).leave();
    expect(song.sounding).toBe(0);
    song.pulses(S + 27 * PERIOD, 27, 100);
    expect(song.onsets).toHaveLength(2);
    song.join().pulses(S + 101 * PERIOD, 101, 150);
    expect(song.onsets.slice(2).map((due) => Math.round(due))).toEqual(
      [120, 144].map((clock) => Math.round(S + clock * PERIOD)),
    );
  });

  test('a Start, a Stop or a pointer that comes meanwhile is kept in mind', () => {
    const song = new Following().leave().at(0, 0xfa);
    song.pulses(S, 0, 30);
    expect(song.onsets).toEqual([]);
    song
      .at(2 * S, 0xfc)
      .at(2.1 * S, 0xf2, 8, 0)
      .join();
    expect(song.run.observed.numbers[Slot.positionMicros]).toBeCloseTo(S, 3);
    song.at(2.2 * S, 0xfb).pulses(3 * S, 0, 2);
    expect(song.onsets).toEqual([3 * S]);
  });
});

describe('our own reader is held up', () => {
  test('pulses that come late and all at once are each counted once', () => {
    for (const held of [1, 2, 5, 12]) {
      const song = new Following().at(0, 0xfa).pulses(S, 0, 99);
      const late = S + (99 + held + 0.6) * PERIOD;
      for (let n = 0; n < held; n += 1) song.at(late + n * 320, 0xf8);
      song.pulses(S + (100 + held) * PERIOD, 100 + held, 300);
      expect(Math.abs(song.onsets.at(-1)! - (S + 288 * PERIOD)), `${held} held`).toBeLessThan(300);
      expect(song.onsets).toHaveLength(13);
    }
  });

  test('a machine that slept for five seconds goes on where the clock is, once', () => {
    const song = new Following().at(0, 0xfa).pulses(S, 0, 99);
    const wakes = S + 99 * PERIOD + 5 * S;
    song.run.stallTo(wakes);
    // What waited is read at once.
    for (let n = 100; n < 340; n += 1) song.at(wakes + (n - 100), 0xf8);
    song.pulses(S + 340 * PERIOD, 340, 500);
    const after = song.onsets.filter((due) => due > wakes + 2 * PERIOD);
    expect(after.map((due) => Math.round((due - S) / (24 * PERIOD)))).toEqual([15, 16, 17, 18, 19, 20]);
    expect(Math.abs(after.at(-1)! - (S + 480 * PERIOD))).toBeLessThan(3000);
    expect(song.run.sent.length).toBeLessThan(200);
  });
});

describe('a clock comes again', () => {
  test('held: it is met at the pulse nearest to where the music is, and no note comes twice', () => {
    const song = new Following().at(0, 0xfa).pulses(S, 0, 99);
    // The cable is out for 97 clocks; the other machine plays on.
    song.pulses(S + 197 * PERIOD, 197, 400);
    expect(song.follower.losses).toBe(1);
    expect(song.onsets.map((due) => Math.round(((due - S) / (24 * PERIOD)) * 100) / 100)).toEqual(
      Array.from({ length: 17 }, (_, quarter) => quarter),
    );
  });

  test('one pulse alone is no clock', () => {
    const song = new Following('pause')
      .at(0, 0xfa)
      .pulses(S, 0, 30)
      .to(3 * S);
    song.at(4 * S, 0xf8).to(6 * S);
    expect(song.follower.state).toBe(Follow.lost);
    expect(song.sounding).toBe(0);
  });
});

describe('clocks that no machine should send', () => {
  const limits = (song: Following) => {
    expect(Number.isFinite(song.run.observed.numbers[Slot.positionMicros]!)).toBe(true);
    song.at(song.run.now + 1, 0xfc);
    expect(song.sounding).toBe(0);
  };

  test('ten times as fast: the song goes ten times as fast', () => {
    const song = new Following().at(0, 0xfa).pulses(S, 0, 482, PERIOD / 10);
    expect(song.onsets).toHaveLength(21);
    expect(Math.abs(song.onsets.at(-1)! - (S + 48 * PERIOD))).toBeLessThan(1);
    limits(song);
  });

  test('once a second: it counts as lost, and the music is held or stands', () => {
    for (const onLost of ['continue', 'pause'] as const) {
      const song = new Following(onLost).at(0, 0xfa);
      song.pulses(S, 0, 20, S);
      expect(song.follower.state).toBe(Follow.lost);
      expect(song.onsets.length).toBeLessThanOrEqual(onLost === 'pause' ? 1 : 45);
      limits(song);
    }
  });

  test('pairs of Start and clock without end: the wire is not flooded', () => {
    const song = new Following().at(0, 0xfa);
    for (let n = 0; n < 3000; n += 1) song.at(S + n * 640, n % 2 === 0 ? 0xf8 : 0xfa);
    limits(song);
  });
});

describe('laws', () => {
  test('with 1 ms of jitter onsets stay within 0.5 ms of the ideal (99 of 100), from the second beat on', () => {
    const chance = seeded(11);
    const song = new Following().at(0, 0xfa);
    const jitter = () => 1000 * Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance());
    for (let n = 0; n < 24 * QUARTERS; n++) song.at(S + n * PERIOD + jitter(), 0xf8);
    const off = song.onsets.slice(1).map((due, n) => Math.abs(due - (S + (n + 1) * 24 * PERIOD)));
    expect(off.length).toBeGreaterThan(110);
    expect(off.toSorted((a, b) => a - b)[Math.floor(off.length * 0.99)]).toBeLessThan(500);
  });

  /** A stretch of an invented clock: how it goes on from the tempo before it. */
  const stretch = fc.oneof(
    fc.record({ kind: fc.constant('steady' as const), pulses: fc.integer({ min: 40, max: 120 }) }),
    fc.record({ kind: fc.constant('step' as const), factor: fc.constantFrom(0.5, 0.8, 0.95, 1.05, 1.25, 2) }),
    fc.record({
      kind: fc.constant('ramp' as const),
      factor: fc.double({ min: 0.75, max: 1.33, noNaN: true }),
    }),
    fc.record({ kind: fc.constant('stop' as const), micros: fc.integer({ min: 1000, max: 900_000 }) }),
    fc.record({ kind: fc.constant('jump' as const), beat: fc.integer({ min: 0, max: 300 }) }),
    fc.record({ kind: fc.constant('lost' as const) }),
  );

  test('ramps, steps, doublings, stops, jumps, lost pulses and jitter: the song is where the clock says', () => {
    fc.assert(
      fc.property(
        fc.array(stretch, { maxLength: 8 }),
        fc.integer({ min: 0, max: 1000 }),
        (stretches, seed) => {
          const chance = seeded(seed);
          const song = new Following('continue', 0, [
            [0, 0x90, 60, 1],
            [600 * S, 0x80, 60, 1],
          ]).at(0, 0xfa);
          let at = S;
          let period = PERIOD;
          let pulse = 0;
          const next = (): void => {
            song.at(Math.max(song.run.now, at + 1000 * (chance() - 0.5)), 0xf8);
            at += period;
            pulse += 1;
          };
          const steady = (pulses: number): void => {
            for (let n = 0; n < pulses; n += 1) next();
          };
          steady(48);
          for (const each of stretches) {
            if (each.kind === 'steady') steady(each.pulses);
            else if (each.kind === 'step') {
              // Between 30 and 400 a minute.
              period = Math.min(83_000, Math.max(6250, period / each.factor));
            } else if (each.kind === 'ramp') {
              const to = Math.min(83_000, Math.max(6250, period * each.factor));
              const step = (to - period) / 96;
              for (let n = 0; n < 96; n += 1) {
                period += step;
                next();
              }
            } else if (each.kind === 'stop' || each.kind === 'jump') {
              song.at(at, 0xfc);
              if (each.kind === 'jump') {
                pulse = each.beat * 6;
                song.at(at + 1000, 0xf2, each.beat & 127, each.beat >> 7);
              }
              song.at(at + 2000, 0xfb);
              at += 3000 + (each.kind === 'stop' ? each.micros : 0);
            } else {
              at += period;
              pulse += 1;
            }
            steady(60);
          }
          const passed = (song.run.now - (at - period)) * (PERIOD / period);
          const { numbers } = song.run.observed;
          expect(Math.abs(numbers[Slot.positionMicros]! - (pulse - 1) * PERIOD - passed)).toBeLessThan(2500);
          expect(song.follower.losses).toBe(0);
        },
      ),
      { numRuns: 80 },
    );
  });

  test('whatever comes in, what was struck is released once it stops', () => {
    const message = fc.oneof(
      { weight: 20, arbitrary: fc.constant([0xf8]) },
      fc.constantFrom([0xfa], [0xfb], [0xfc], [0xf2, 3, 0], [0xf2, 127, 127], [0xfe], [0xff]),
    );
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 0, max: 90_000 }), message), { maxLength: 200 }),
        (steps) => {
          const song = new Following('pause');
          let now = 0;
          for (const [wait, bytes] of steps) {
            now += wait;
            song.at(now, ...bytes);
          }
          song.at(now + 1, 0xfc);
          expect(song.sounding).toBe(0);
        },
      ),
      { numRuns: 60 },
    );
  });
});
