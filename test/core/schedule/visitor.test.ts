import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import type { Outlet } from '../../../src/core/schedule/outlet.ts';
import { TIME_COUNT, Time } from '../../../src/core/schedule/scheduler-times.ts';
import { channelsOf, Visitor, type VisitorChannel } from '../../../src/core/schedule/visitor.ts';
import { hex, toHex } from '../../support/hex.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

interface Rig {
  readonly channel?: VisitorChannel;
  /** Channels (0–15) that the song has messages on. */
  readonly song?: readonly number[];
  readonly allowSysEx?: boolean;
  readonly audible?: number;
}

/** Bytes of a keyboard in, what goes to the outlet out. */
function rig({ channel = 'as-played', song = [0], allowSysEx = false, audible = 0xffff }: Rig = {}) {
  const out: string[] = [];
  const moments: number[][] = [];
  const held: number[] = [];
  const times = new Float64Array(TIME_COUNT);
  const observed = createObservedState();
  const put = (bytes: ArrayLike<number>, at: Float64Array) => {
    out.push(toHex(bytes));
    moments.push([...at]);
  };
  const outlet = {
    heldBack: (muted: number) => held.push(muted),
    visitSysEx: (bytes: Uint8Array, length: number, at: Float64Array) => put(bytes.slice(0, length), at),
  } as unknown as Outlet;
  const visit = (status: number, data1: number, data2: number, at: Float64Array) =>
    put((status & 0xe0) === 0xc0 ? [status, data1] : [status, data1, data2], at);
  const columns = timelineOf(song.map((on): TimedBytes => [0, 0xb0 | on, 7, 1]));
  const visitor = new Visitor({ outlet, visit }, times, observed, columns, channel, allowSysEx, { audible });
  const hear = (bytes: string, arrived = 1000, now = arrived) => {
    times[Time.now] = now;
    visitor.hear(hex(bytes), hex(bytes).length, Float64Array.of(arrived));
    return out.splice(0);
  };
  const { numbers } = observed;
  const counts = () =>
    [Slot.visitorNotes, Slot.visitorMessages, Slot.visitorHeld].map((slot) => numbers[slot]);
  return { visitor, hear, out, moments, held, times, counts };
}

describe('notes', () => {
  test('each strike wants its note-off; one without a strike goes nowhere', () => {
    const { hear, visitor, counts } = rig();
    expect(hear('90 3C 01 90 3C 02 80 3C 03')).toEqual(['90 3C 01', '90 3C 02', '80 3C 03']);
    expect([visitor.strikes[60], visitor.played]).toEqual([1, 1]);
    expect(hear('90 3C 00 80 3C 00 80 3D 00')).toEqual(['90 3C 00']);
    expect(hear('91 3C 05 9F 7F 06')).toEqual(['91 3C 05', '9F 7F 06']);
    expect([visitor.strikes[128 + 60], visitor.strikes[2047]]).toEqual([1, 1]);
    expect(counts()).toEqual([4, 6, 0]);
  });

  test('on the channel they were given, wherever the keyboard sends', () => {
    const { hear, visitor } = rig({ channel: 4 });
    expect(hear('93 3C 01 C2 05 E0 01 02')).toEqual(['94 3C 01', 'C4 05', 'E4 01 02']);
    expect([visitor.played, visitor.strikes[4 * 128 + 60]]).toEqual([1 << 4, 1]);
  });

  test('where their channel is not heard a strike is counted as held back, and its note-off goes nowhere', () => {
    const { hear, held, counts } = rig({ audible: 0xfffd });
    expect(hear('91 3C 01 90 3C 01 81 3C 00')).toEqual(['90 3C 01']);
    expect([held, counts()]).toEqual([[1], [1, 1, 0]]);
  });

  test('two hundred strikes of a key are passed on, not more, and as many note-offs', () => {
    const { hear } = rig();
    expect(hear('90 3C 01 '.repeat(202))).toHaveLength(200);
    expect(hear('80 3C 00 '.repeat(202))).toHaveLength(200);
  });

  test('what was struck before the run is over, what was set then counts as it begins', () => {
    const { hear, moments } = rig();
    expect(hear('90 3C 01 B0 40 7F', -5, 40)).toEqual(['B0 40 7F']);
    expect(hear('90 3C 01', 0, 40)).toEqual(['90 3C 01']);
    expect(hear('90 3C 01', 30, 40)).toEqual(['90 3C 01']);
    // Due as it came, not of the song, handed over now.
    expect(moments).toEqual([
      [0, -1, 40],
      [0, -1, 40],
      [30, -1, 40],
    ]);
  });
});

describe('what else they send', () => {
  // Modulation and the pedals 64, 66, 67, 69 (MIDI 1.0, Table III); of the mode messages only 121, on their own.
  test('every controller on a channel of the song and on one of their own', () => {
    const passing = [0, 1].map((on) =>
      Array.from({ length: 128 }, (_, n) => n).filter(
        (n) => rig().hear(`B${on} ${toHex([n])} 05`).length > 0,
      ),
    );
    expect(passing[0]).toEqual([1, 64, 66, 67, 69]);
    expect(passing[1]).toEqual([...Array.from({ length: 120 }, (_, n) => n), 121]);
  });

  test.each([
    ['C0 05', 'C1 05'],
    ['D0 05', 'D1 05'],
    ['E0 05 06', 'E1 05 06'],
    ['A0 05 06', 'A1 05 06'],
  ])('%s on a channel of the song, %s on their own', (onSongs, onOwn) => {
    expect(rig().hear(onSongs)).toEqual(onSongs.startsWith('C') ? [] : [onSongs]);
    expect(rig().hear(onOwn)).toEqual([onOwn]);
  });

  test('what passes is what they have said', () => {
    const { hear, visitor, counts } = rig();
    hear('B0 01 05 B0 07 06 B1 07 07 C1 08 E0 00 50');
    const { said } = visitor;
    expect([said.value[1], said.value[7], said.value[128 + 7], said.program[1], said.bend[0]]).toEqual([
      5,
      255,
      7,
      8,
      0x50 << 7,
    ]);
    expect(counts()).toEqual([0, 4, 1]);
  });

  test.each([
    ['78', true],
    ['7A', false],
    ['7B', true],
    ['7C', true],
    ['7F', true],
  ])('mode message %s stays out; it ends their notes on its channel: %s', (mode, ends) => {
    const { hear, counts } = rig();
    hear('91 3C 01 92 3C 01');
    expect(hear(`B1 ${mode} 00`)).toEqual(ends ? ['81 3C 40'] : []);
    expect(counts()[2]).toBe(1);
  });

  test('clocks and other system messages stay out and are counted; Active Sensing is not', () => {
    const { hear, counts } = rig();
    expect(hear('F8 FA FB FC F1 01 F2 01 02 F3 01 F6 FF')).toEqual([]);
    expect(counts()).toEqual([0, 0, 9]);
    expect(hear('FE')).toEqual([]);
    expect(counts()).toEqual([0, 0, 9]);
  });
});

describe('SysEx', () => {
  const VOLUME = 'F0 7F 7F 04 01 00 40 F7';
  const long = (bytes: number) => `F0 7F 7F ${'01 '.repeat(bytes - 4)}F7`;

  test.each([
    ['master volume', VOLUME, true, true],
    ['an inquiry', 'F0 7E 7F 06 01 F7', true, true],
    ['a maker’s own', 'F0 7D 01 F7', false, true],
    ['a reset', 'F0 7E 7F 09 01 F7', false, false],
    ['one that is cut', 'F0 7F 7F 04 01 00 40 F6', false, false],
    ['256 bytes', long(256), true, true],
    ['257 bytes: the song would wait too long', long(257), false, false],
  ])('%s', (_, bytes, passes, passesAllowed) => {
    for (const [allowSysEx, does] of [
      [false, passes],
      [true, passesAllowed],
    ] as const) {
      const { hear, counts } = rig({ allowSysEx });
      const [first, ...others] = hear(bytes).map((sent) => sent.length);
      expect([first, others]).toEqual([does ? 3 * hex(bytes).length - 1 : undefined, []]);
      expect(counts()[1]).toBe(does ? 1 : 0);
    }
  });

  test('whole, however it comes, and each for itself', () => {
    const { hear, visitor } = rig();
    expect(hear('F0 7F 7F')).toEqual([]);
    expect(hear(`04 01 00 40 F7 ${VOLUME}`)).toEqual([VOLUME, VOLUME]);
    hear('F0 7F 7F 04');
    visitor.leave();
    expect(hear('01 00 40 F7')).toEqual([]);
    expect(hear(VOLUME)).toEqual([VOLUME]);
  });
});

describe('letting go', () => {
  test('of some channels: a note-off for each strike there, as of now', () => {
    const { hear, visitor, out, moments, times } = rig();
    hear('90 00 01 90 00 01 91 7F 01 92 3C 01');
    moments.length = 0;
    times[Time.now] = 7000;
    visitor.release(0b1001);
    expect(out.splice(0)).toEqual(['80 00 40', '80 00 40']);
    expect(moments[0]).toEqual([7000, -1, 7000]);
    visitor.release(0xffff);
    expect(out.splice(0)).toEqual(['81 7F 40', '82 3C 40']);
    visitor.release(0xffff);
    expect(out).toEqual([]);
  });

  test('of one key', () => {
    const { hear, visitor, out } = rig();
    hear('9F 7F 01 9F 7F 01 9F 7E 01');
    visitor.releaseKey(15, 127);
    expect(out).toEqual(['8F 7F 40', '8F 7F 40']);
  });

  test('leaving brings what they moved to rest as well, where it is not, and only on channels they played on', () => {
    const { hear, visitor, out } = rig();
    hear('90 3C 01 B0 40 7F B0 42 00 B0 01 05 E0 01 40 D0 09 BF 45 01 EF 00 40 DF 00 C5 01');
    visitor.leave();
    expect(out.splice(0)).toEqual(['80 3C 40', 'B0 40 00', 'B0 01 00', 'E0 00 40', 'D0 00', 'BF 45 00']);
    visitor.leave();
    expect(out).toEqual([]);
    const nobody = rig();
    nobody.visitor.leave();
    expect(nobody.out).toEqual([]);
  });

  test('when Active Sensing runs out: more than 330 ms after the last byte (MIDI 1.0, p. 32), once', () => {
    const { hear, visitor, times } = rig();
    const next = (before = Infinity) => {
      const into = Float64Array.of(before);
      visitor.nextLook(into);
      return into[0];
    };
    hear('90 3C 01', 500);
    expect([next(), visitor.sensingExpired()]).toEqual([Infinity, false]);
    hear('FE', 1000);
    expect([next(), next(5000)]).toEqual([331_001, 5000]);
    hear('80 3C 00', 2000);
    expect(next()).toBe(332_001);
    times[Time.now] = 332_000;
    expect(visitor.sensingExpired()).toBe(false);
    times[Time.now] = 332_001;
    expect([visitor.sensingExpired(), visitor.sensingExpired(), next()]).toEqual([true, false, Infinity]);
  });
});

test('channels of their own are those the song has no messages on; SysEx is on none', () => {
  expect(rig({ song: [0, 3, 15] }).visitor.own).toBe(0x7ff6);
  const columns = timelineOf([
    [0, 0xf0, 0x7d, 0xf7],
    [0, 0x82, 1, 1],
    [1, 0xef, 1, 1],
  ]);
  expect(channelsOf(columns)).toBe((1 << 2) | (1 << 15));
});
