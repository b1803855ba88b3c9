import { describe, expect, test } from 'vitest';
import { GENERAL_MIDI } from '../../../src/core/instrument/general-midi-instrument.ts';
import {
  allTogether,
  fullest,
  type SeatVerdict,
  seatCheckOf,
  wireVerdictOf,
} from '../../../src/core/report/seat-verdicts.ts';
import type { CheckChange } from '../../../src/core/report/song-check.ts';

/** What is judged at a port, as far as these sums look at it. */
function verdict(port: string | undefined, more: object = {}): SeatVerdict {
  const instrument = { ...GENERAL_MIDI, name: port ?? 'alone', parts: 4, releaseMicros: 250_000 };
  return {
    seat: port === undefined ? undefined : { port, instrument, instrumentName: undefined, channels: [0, 9] },
    ...{ instrument, instrumentName: undefined, voices: 24, lacks: [], fits: true, tooManyVoices: false },
    ...more,
  } as unknown as SeatVerdict;
}

const wired = (
  port: string,
  distance: number,
  changes: readonly CheckChange[],
  asItIs: boolean,
  withChanges: boolean,
) =>
  verdict(port, {
    wire: {
      check: { packed: { worstOnsetDistanceMicros: distance }, port: null },
      changes,
      asItIs,
      withChanges,
    },
  });
const thin = (tolerance: number) => ({ flags: ['--thin', String(tolerance)], text: `thin ${tolerance}` });
const early = (ms: number) => ({ flags: ['--early', String(ms)], text: `early ${ms}` });

describe('all wires as one', () => {
  test('the figures of the most pressed, the first of equals', () => {
    const port = (...distances: number[]) =>
      wireVerdictOf(distances.map((distance, n) => wired('abc'[n]!, distance, [], true, true))).check.port;
    expect([port(1, 3, 2), port(3, 3), port(0), port(1, 2, 3)]).toEqual(['b', 'a', 'a', 'c']);
    expect(
      wireVerdictOf([verdict(undefined, { wire: wired('', 1, [], true, true).wire })]).check.port,
    ).toBeNull();
  });

  test('each change once, as far as any wire needs it', () => {
    const changes = (...all: CheckChange[][]) =>
      wireVerdictOf(all.map((list, n) => wired('abc'[n]!, 0, list, false, true))).changes.map(
        ({ text }) => text,
      );
    expect(changes([thin(0)], [thin(2), early(20)], [thin(2)])).toEqual(['thin 2', 'early 20']);
    expect(changes([thin(10), early(5)], [thin(9)])).toEqual(['thin 10', 'early 5']);
    expect(changes([], [])).toEqual([]);
  });

  test('in time where all are', () => {
    const both = (...all: readonly (readonly [asItIs: boolean, withChanges: boolean])[]) => {
      const { asItIs, withChanges } = wireVerdictOf(all.map(([is, could]) => wired('a', 0, [], is, could)));
      return [asItIs, withChanges];
    };
    expect(both([true, true], [true, true])).toEqual([true, true]);
    expect(both([true, true], [false, true])).toEqual([false, true]);
    expect(both([false, false], [true, true])).toEqual([false, false]);
  });
});

test('voices are nearest to running out where the largest share is in use, the first of equals', () => {
  const used = (port: string, most: number, voices: number) =>
    verdict(port, { polyphony: { check: { most, voices } } });
  const name = (...all: SeatVerdict[]) => fullest(all).seat!.port;
  expect(name(used('a', 5, 10), used('b', 2, 3), used('c', 20, 40))).toBe('b');
  expect(name(used('a', 5, 10), used('b', 1, 2))).toBe('a');
});

test('several instruments together: parts added up, the longest tail, what each lacks', () => {
  const long = verdict('b', {
    instrument: { ...GENERAL_MIDI, name: 'Long', parts: 2, releaseMicros: 1_500_000 },
    lacks: ['y'],
  });
  const all = allTogether([verdict('a', { lacks: ['x'] }), long]);
  expect(all).toEqual({ name: 'a, Long', given: false, parts: 6, releaseMs: 1500, findings: ['x', 'y'] });
  expect(allTogether([verdict('a'), verdict('b', { instrumentName: 'x' })]).given).toBe(true);
});

test('an instrument in its place, in the units of people; where there is but one, none', () => {
  const at = { seconds: 1, bar: 2, beat: 3 };
  const polyphony = { check: { most: 30, at, overSeconds: 0.5, voices: 24 } };
  expect(seatCheckOf(verdict('a', { polyphony }))).toEqual([
    {
      ...{ port: 'a', channels: [1, 10], name: 'a', given: false, parts: 4, releaseMs: 250, voices: 24 },
      ...{ mostVoices: 30, mostAt: at, overSeconds: 0.5 },
    },
  ]);
  expect(seatCheckOf(verdict('a', { polyphony, instrumentName: 'x' }))[0]!.given).toBe(true);
  expect(seatCheckOf(verdict(undefined, { polyphony }))).toEqual([]);
});
