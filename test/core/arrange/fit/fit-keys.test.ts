import { describe, expect, test } from 'vitest';
import { fitKeys } from '../../../../src/core/arrange/fit/fit-keys.ts';
import { RowEdits } from '../../../../src/core/arrange/fit/row-edits.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import { type TimedBytes, timelineOf } from '../../../support/timeline-of.ts';

/** Keys struck one after another, a tenth of a second each, on a channel. */
const struck = (keys: readonly number[], channel = 0, from = 0): TimedBytes[] =>
  keys.flatMap((key, n): TimedBytes[] => [
    [from + n * 100_000, 0x90 | channel, key, 64],
    [from + n * 100_000 + 50_000, 0x80 | channel, key, 0],
  ]);

function fitted(
  rows: readonly TimedBytes[],
  low: number,
  high: number,
  drumChannels: readonly number[] = [],
) {
  const columns = timelineOf(rows);
  const edits = new RowEdits(columns);
  const fit = fitKeys(columns, edits, { ...GENERAL_MIDI, keys: { low, high } }, drumChannels);
  const { columns: made } = edits.made({ tick: 0, micros: 0, microsAt: (tick) => tick * 1000 });
  const of = (kind: number) =>
    Array.from({ length: made.count }, (_, row) => row)
      .filter((row) => (made.status[row]! & 0xf0) === kind)
      .map((row) => made.data1[row]!);
  return { fit, ons: of(0x90), offs: of(0x80), isEmpty: edits.isEmpty };
}

describe('keys outside the range of an instrument', () => {
  test('inside it nothing moves, to its very ends', () => {
    const { fit, isEmpty } = fitted(struck([48, 60, 72]), 48, 72);
    expect(fit).toEqual({ moves: [], withoutKey: [], keyTaken: [] });
    expect(isEmpty).toBe(true);
  });

  test.each([1, 2, 3, 4, 5, -1, -2, -3, -4, -5])('a part goes as a whole, by %i octaves', (octaves) => {
    const keys = [60, 62, 64].map((key) => key - 12 * octaves);
    const { fit, ons, offs } = fitted(struck(keys), 60, 64);
    expect(ons).toEqual([60, 62, 64]);
    expect(offs).toEqual([60, 62, 64]);
    expect(fit.moves).toEqual([{ channel: 0, what: 'part', from: keys[0], to: 60, notes: 3 }]);
  });

  test('a single note goes alone where the rest of its part is inside', () => {
    const keys = [60, 61, 62, 63, 64, 65, 66, 67, 68, 69, 70, 84];
    const { fit, ons, offs } = fitted(struck(keys), 60, 72);
    expect(ons).toEqual([...keys.slice(0, -1), 72]);
    expect(offs).toEqual(ons);
    expect(fit.moves).toEqual([{ channel: 0, what: 'note', from: 84, to: 72, notes: 1 }]);
    const low = fitted(struck([48, ...keys.slice(0, -1)]), 60, 72);
    expect(low.ons[0]).toBe(60);
  });

  test('of a part moved as a whole a note that is outside then goes on alone', () => {
    // An octave up for two of three; the third is inside as it is.
    const { fit, ons } = fitted(struck([48, 50, 64]), 60, 70);
    expect(ons).toEqual([60, 62, 64]);
    expect(fit.moves.map(({ what, notes }) => [what, notes])).toEqual([['part', 2]]);
  });

  test('a note of which no octave is there is left out', () => {
    const { fit, ons, offs } = fitted(struck([60, 66, 62]), 60, 64);
    expect(fit.withoutKey).toEqual([2]);
    expect([ons, offs]).toEqual([
      [60, 62],
      [60, 62],
    ]);
  });

  test('one that would sound with another on its key gives way', () => {
    const rows: TimedBytes[] = [
      [0, 0x90, 60, 64],
      [10, 0x90, 48, 64],
      [500, 0x80, 48, 0],
      [900, 0x80, 60, 0],
      ...struck([60, 61, 62, 63, 64, 65, 66, 67, 68, 69], 0, 2000),
    ];
    const { fit, ons } = fitted(rows, 60, 72);
    expect(fit.keyTaken).toEqual([1]);
    expect(ons).toEqual([60, 60, 61, 62, 63, 64, 65, 66, 67, 68, 69]);
  });

  test('drums stay, and each channel and program is a part of its own', () => {
    expect(fitted(struck([20, 30], 9), 60, 72, [9]).isEmpty).toBe(true);
    const rows: TimedBytes[] = [
      [0, 0xc2, 5],
      ...struck([48, 50], 2, 1),
      [999_000, 0xc2, 6],
      ...struck([62, 64], 2, 1_000_000),
    ];
    const { ons, fit } = fitted([...rows, ...struck([72], 3, 2_000_000)], 60, 70);
    expect(ons).toEqual([60, 62, 62, 64, 60]);
    expect(fit.moves).toEqual([
      { channel: 2, what: 'part', from: 48, to: 60, notes: 2 },
      { channel: 3, what: 'part', from: 72, to: 60, notes: 1 },
    ]);
  });

  test('a program with a range of its own has the narrower of both', () => {
    const banks = [{ name: 'a', programs: [{ number: 7, name: 'x', keys: { low: 65, high: 80 } }] }];
    const columns = timelineOf([[0, 0xc0, 7], ...struck([60, 61, 62, 71, 72, 73, 74, 75], 0, 10)]);
    const edits = new RowEdits(columns);
    const instrument = {
      ...GENERAL_MIDI,
      keys: { low: 60, high: 75 },
      banks,
    } as unknown as typeof GENERAL_MIDI;
    const { moves } = fitKeys(columns, edits, instrument, []);
    expect(moves.map(({ from, to }) => [from, to])).toEqual([
      [60, 72],
      [61, 73],
      [62, 74],
    ]);
  });
});
