import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ClockFollower, type LostClock } from '../../../src/core/follow/clock-follower.ts';
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
  readonly run = new VirtualRun(planOf(timelineOf(SONG)));
  readonly follower: ClockFollower;

  constructor(onLost: LostClock = 'hold') {
    this.follower = new ClockFollower(PULSES, onLost);
  }

  /** Bytes that arrive at a run time. Between them time passes in steps, as it does for a watcher. */
  at(micros: number, ...bytes: number[]): this {
    while (this.run.now + 50_000 < micros) {
      this.run.to(this.run.now + 50_000);
      for (const command of this.follower.look(this.run.now)) this.run.send(command);
    }
    this.run.to(Math.max(micros, this.run.now));
    const [status, data1 = 0, data2 = 0] = bytes;
    for (const command of this.follower.message(status!, data1, data2, micros)) this.run.send(command);
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
    const song = playing('hold');
    song.at(4.1 * S, 0xfe);
    expect(song.follower.seen.state).toBe('lost');
    expect(song.onsets.map((due) => Math.round(due / 1000))).toEqual([
      1000, 1500, 2000, 2500, 3000, 3500, 4000,
    ]);
  });

  test('stopped: nothing sounds, and it goes on when the clock comes again', () => {
    const song = playing('stop');
    song.at(4 * S, 0xfe);
    expect(song.sounding).toBe(0);
    expect(song.onsets).toHaveLength(2);
    for (let n = 0; n < 24; n++) song.at(5 * S + n * PERIOD, 0xf8);
    expect(song.onsets).toHaveLength(3);
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

  test('whatever comes in, what was struck is released once it stops', () => {
    const message = fc.oneof(
      { weight: 20, arbitrary: fc.constant([0xf8]) },
      fc.constantFrom([0xfa], [0xfb], [0xfc], [0xf2, 3, 0], [0xf2, 127, 127], [0xfe], [0xff]),
    );
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 0, max: 90_000 }), message), { maxLength: 200 }),
        (steps) => {
          const song = new Following('stop');
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
