import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { onsetLatenessOf } from '../../../src/core/wire/onset-lateness.ts';
import { onsetRangeOf } from '../../../src/core/wire/onset-range.ts';
import { simulatePlan, type WireRunOptions } from '../../../src/core/wire/simulate-plan.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

/** A byte takes 320 µs: 1 start, 8 data, 1 stop bit at 31,250 baud (MIDI 1.0, p. 1). */
const BYTE = 320;
const S = 1_000_000;
const GM_ON = [0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7];
const OWN = [0xf0, 0x7d, 1, 2, 3, 4, 0xf7];

/** A receiver that rests after each message and longer after some, beside the plain one. */
const RESTING = {
  ...MIDI_WIRE,
  gapMicros: 777,
  betweenBytesMicros: 100,
  afterProgramMicros: 5000,
  afterSysExMicros: 9000,
};

function both(messages: readonly TimedBytes[], options: WireRunOptions = {}, releases?: [number, number][]) {
  const plan = planOf(timelineOf(messages), new Map(releases));
  const run = simulatePlan(plan, MIDI_WIRE, options);
  const range = onsetRangeOf(plan, MIDI_WIRE, options);
  const lateness = onsetLatenessOf(run);
  const resting = onsetLatenessOf(simulatePlan(plan, RESTING, options));
  if (resting.onsets > 0) {
    expect(onsetRangeOf(plan, RESTING, options)).toEqual({
      latestMicros: Math.max(0, resting.worstMicros),
      distanceMicros: resting.distanceMicros,
    });
  }
  // The quick figure is the same as the whole one.
  if (lateness.onsets > 0) {
    expect(range).toEqual({
      latestMicros: Math.max(0, lateness.worstMicros),
      distanceMicros: lateness.distanceMicros,
    });
  }
  return { run, range };
}

test('with rests and without, the quick figure is that of the whole run', () => {
  const message = fc.oneof(
    fc.tuple(
      fc.constantFrom(0x90, 0x91, 0x80, 0xb0),
      fc.integer({ min: 40, max: 60 }),
      fc.constantFrom(0, 64),
    ),
    fc.tuple(fc.constantFrom(0xc0, 0xd1), fc.nat(127)),
    fc.constantFrom(GM_ON, OWN, [0xf0, 0x7f, 0x7f, 4, 1, 0, 100, 0xf7]),
  );
  const song = fc.array(
    fc.tuple(
      fc.nat(40).map((n) => n * 1000),
      message,
    ),
    { maxLength: 30 },
  );
  fc.assert(
    fc.property(song, fc.boolean(), fc.constantFrom(0, 500, 100_000), (events, allowSysEx, settleMicros) => {
      both(
        events.map(([micros, bytes]): TimedBytes => [micros, ...bytes]),
        { allowSysEx, settleMicros },
      );
    }),
  );
});

describe('messages one after another', () => {
  test('each begins when the wire is free, running status left out', () => {
    const { run, range } = both([
      [0, 0x90, 60, 1],
      [0, 0x90, 64, 1],
      [0, 0x91, 67, 1],
      [S, 0x90, 72, 1],
    ]);
    expect([...run.startMicros]).toEqual([0, 3 * BYTE, 5 * BYTE, S]);
    expect([...run.endMicros]).toEqual([3 * BYTE, 5 * BYTE, 8 * BYTE, S + 3 * BYTE]);
    expect([run.bytes, run.wireEndMicros, run.worstBacklogMicros]).toEqual([11, S + 3 * BYTE, 5 * BYTE]);
    expect(range).toEqual({ latestMicros: 8 * BYTE, distanceMicros: 8 * BYTE });
  });

  test('no note-ons: nothing is late', () => {
    expect(both([[0, 0xb0, 7, 1]]).range).toEqual({ latestMicros: 0, distanceMicros: 0 });
    expect(
      both([
        [0, 0x80, 60, 1],
        [0, 0x90, 60, 0],
      ]).range,
    ).toEqual({ latestMicros: 0, distanceMicros: 0 });
  });

  test('a note that a plan takes early is far from its moment, and late by nothing', () => {
    const { range } = both([[S, 0x90, 60, 1]], {}, [[0, S - 10_000]]);
    expect(range).toEqual({ latestMicros: 0, distanceMicros: 10_000 - 3 * BYTE });
  });

  test('of one early and one late the farther counts', () => {
    const { range } = both(
      [
        [S, 0x90, 60, 1],
        [2 * S, 0x91, 62, 1],
      ],
      {},
      [
        [0, S - 2000],
        [1, 2 * S + 5000],
      ],
    );
    expect(range).toEqual({ latestMicros: 5000 + 3 * BYTE, distanceMicros: 5000 + 3 * BYTE });
  });
});

describe('a maker’s own SysEx and dumps', () => {
  const SONG: TimedBytes[] = [
    [0, ...OWN],
    [0, 0x90, 60, 1],
  ];

  test('take no wire while they are held back, and stand at their moment', () => {
    const { run, range } = both(SONG);
    expect([...run.startMicros]).toEqual([0, 0]);
    expect([...run.endMicros]).toEqual([0, 3 * BYTE]);
    expect([run.bytes, range.latestMicros]).toEqual([3, 3 * BYTE]);
    const later = both([
      [0, 0x90, 60, 1],
      [S, ...OWN],
    ]).run;
    expect([later.startMicros[1], later.endMicros[1]]).toEqual([S, S]);
  });

  test('take their bytes where they are allowed', () => {
    const { run, range } = both(SONG, { allowSysEx: true });
    expect([...run.endMicros]).toEqual([7 * BYTE, 10 * BYTE]);
    expect([run.bytes, range.latestMicros]).toEqual([10, 10 * BYTE]);
  });

  test('a sample dump is held back as well (MIDI 1.0, Table VIIa)', () => {
    const { run } = both([
      [0, 0xf0, 0x7e, 0, 0x01, 0, 0, 0xf7],
      [0, 0x90, 60, 1],
    ]);
    expect(run.bytes).toBe(3);
  });
});

describe('the rest after a reset', () => {
  test('before the first note the song waits for it, and nothing is late', () => {
    const song: TimedBytes[] = [
      [0, ...GM_ON],
      [10_000, 0x90, 60, 1],
    ];
    expect(both(song, { settleMicros: 100_000 }).range.latestMicros).toBe(3 * BYTE);
  });

  test('in mid-song what follows is late by it', () => {
    const song: TimedBytes[] = [
      [0, 0x90, 60, 1],
      [S, ...GM_ON],
      [S + 10_000, 0x90, 62, 1],
      [2 * S, 0x90, 64, 1],
    ];
    const rest = both(song, { settleMicros: 100_000 });
    expect(rest.run.startMicros[2]).toBe(S + 6 * BYTE + 100_000);
    expect(rest.range.latestMicros).toBe(6 * BYTE + 100_000 - 10_000 + 3 * BYTE);
    expect(rest.run.startMicros[3]).toBe(2 * S);
    expect(both(song, { settleMicros: 0 }).run.startMicros[2]).toBe(S + 10_000);
    expect(both(song).run.startMicros[2]).toBe(S + 10_000);
  });

  test('universal SysEx that resets nothing is followed at once', () => {
    const song: TimedBytes[] = [
      [0, 0x90, 60, 1],
      [S, 0xf0, 0x7f, 0x7f, 0x04, 0x01, 0, 64, 0xf7],
      [S, 0x90, 62, 1],
    ];
    expect(both(song, { settleMicros: 100_000 }).run.startMicros[2]).toBe(S + 8 * BYTE);
  });
});
