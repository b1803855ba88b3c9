import { describe, expect, test } from 'vitest';
import { LIVE_DEFAULTS, LiveHeard } from '../../../src/core/compare/live-heard.ts';
import { Fault } from '../../../src/core/midi/stream-fault.ts';

const MANY = 1e9;

/** A note each millisecond, of keys from 40 on; three bytes each. */
function heard(notes: number): LiveHeard {
  const live = new LiveHeard();
  for (let n = 0; n < notes; n += 1) live.feed(Uint8Array.of(0x90, 40 + n, 64), 1000 * n);
  return live;
}
const keys = (live: LiveHeard, end?: number) => [...live.rest(end).on.key].map((key) => key - 40);

describe('what is heard, as it grows', () => {
  test('of nothing nothing is there', () => {
    const live = new LiveHeard();
    expect([live.count, live.unsettled, live.held, live.room, live.lastMicros]).toEqual([0, 0, 0, 0, 0]);
    expect([live.firstAfter(0), live.halfway(), live.rest().on.count, live.all()!.on.count]).toEqual([
      0, 0, 0, 0,
    ]);
  });

  test('all of it is there, with the time of the last', () => {
    const live = heard(10);
    expect([live.count, live.unsettled, live.held, live.room, live.lastMicros]).toEqual([
      10, 10, 10, 10, 9000,
    ]);
    expect(live.rest()).toMatchObject({
      bytes: 30,
      messages: 10,
      beganMicros: 0,
      lastMicros: 9000,
      hasTimes: true,
      isTorn: false,
    });
    expect(keys(live, 4)).toEqual([0, 1, 2, 3]);
    expect(live.all()).toEqual(live.rest());
  });

  test('the first message after a moment, and the one halfway', () => {
    const live = heard(10);
    expect([
      live.firstAfter(-1),
      live.firstAfter(0),
      live.firstAfter(2999),
      live.firstAfter(3000),
      live.firstAfter(MANY),
    ]).toEqual([0, 1, 3, 4, 10]);
    expect(live.halfway()).toBe(5);
    live.settle(3, MANY);
    expect([live.firstAfter(0), live.firstAfter(3000), live.halfway()]).toEqual([3, 4, 6]);
  });

  test('much is more than so many notes, or twenty messages for each', () => {
    const live = heard(10);
    expect([live.isMuch(live.rest(), 9), live.isMuch(live.rest(), 10)]).toEqual([true, false]);
    const bends = (count: number) => {
      const some = new LiveHeard();
      for (let n = 0; n < count; n += 1) some.feed(Uint8Array.of(0xe0, 0, n), n);
      return some;
    };
    const [forty, more] = [bends(40), bends(41)];
    expect([forty.isMuch(forty.rest(), 2), more.isMuch(more.rest(), 2)]).toEqual([false, true]);
    more.settle(1, MANY);
    expect(more.isMuch(more.rest(), 2)).toBe(false);
    expect(LIVE_DEFAULTS.settleNotes).toBeLessThan(LIVE_DEFAULTS.keptMessages);
  });
});

describe('what is settled', () => {
  test('is no more in the rest, whose bytes are its share; all of it is kept, up to so many messages', () => {
    const live = heard(10);
    live.settle(4, 10);
    expect([live.count, live.unsettled, live.held, keys(live)]).toEqual([10, 6, 10, [4, 5, 6, 7, 8, 9]]);
    expect(live.rest().bytes).toBe(18);
    expect(live.all()!.on.count).toBe(10);
    live.settle(7, 9);
    expect([live.unsettled, live.held, live.all()]).toEqual([3, 3, undefined]);
    expect(live.rest()).toMatchObject({ bytes: 9, messages: 3, beganMicros: 0 });
    expect(keys(live, 9)).toEqual([7, 8]);
    expect([live.room, live.lastMicros]).toEqual([10, 9000]);
    live.settle(10, 0);
    expect([live.unsettled, live.rest().bytes, live.rest().on.count]).toEqual([0, 0, 0]);
    live.settle(10, 0);
    expect(live.rest().bytes).toBe(0);
  });

  test('what it set is set in the rest, and its keys sound there; of SysEx behind its last note until the song is over', () => {
    const live = new LiveHeard();
    live.feed(Uint8Array.of(0xb0, 7, 100), 0);
    live.feed(Uint8Array.of(0x90, 60, 64), 1000);
    live.feed(Uint8Array.of(0xf0, 1, 0xf7), 2000);
    live.feed(Uint8Array.of(0x80, 60, 0), 9000);
    live.settle(3, MANY);
    expect(live.rest()).toMatchObject({
      state: { count: 1 },
      sysEx: { count: 1 },
      surplusOffs: { length: 0 },
    });
    live.startOver();
    expect(live.rest()).toMatchObject({ state: { count: 1 }, sysEx: { count: 0 } });
  });
});

test('that it began in the middle of a message is of the first part', () => {
  const live = new LiveHeard();
  live.feed(Uint8Array.of(60, 64, 0x90, 61, 64, 62, 64), 0);
  expect([live.rest().isTorn, live.all()!.isTorn]).toEqual([true, true]);
  live.settle(1, MANY);
  expect([live.rest().isTorn, live.all()!.isTorn]).toEqual([false, true]);
});

test('faults are messages as others, whoever saw them; what is not whole at the end is one', () => {
  const live = heard(2);
  live.told(Fault.strayData);
  live.feed(Uint8Array.of(0x90, 50), 5000);
  expect(live.count).toBe(3);
  live.finish();
  expect([live.count, [...live.rest().faults.kind]]).toEqual([4, [Fault.strayData, Fault.truncated]]);
  live.told('rest');
  expect(live.rest().isTorn).toBe(true);
});

test('when the listener stood still: each part has what may have held up its notes', () => {
  const live = heard(100);
  live.stoodStill(10_000, 12_000);
  live.stoodStill(60_000, 65_000);
  const of = (end?: number) => [...live.rest(end).standstills.fromMicros];
  expect([[...live.standstills.toMicros], of(), of(59), of(60), of(100)]).toEqual([
    [12_000, 65_000],
    [10_000, 60_000],
    [10_000],
    [10_000, 60_000],
    [10_000, 60_000],
  ]);
  // It catches up within ten milliseconds, and as many more are allowed.
  live.settle(31, MANY);
  expect(of()).toEqual([10_000, 60_000]);
  live.settle(33, MANY);
  expect(of()).toEqual([60_000]);
  expect([...live.all()!.standstills.fromMicros]).toEqual([10_000, 60_000]);
});
