import { describe, expect, test } from 'vitest';
import { isBank, likeOf, nearestProgram } from '../../../../src/core/arrange/fit/nearest-program.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Bank } from '../../../../src/core/instrument/instrument.ts';

/** Programs by number, and what each is like. */
const bank = (
  msb: number | undefined,
  lsb: number | undefined,
  sounds: Record<number, number | undefined>,
): Bank => ({
  ...{ name: 'bank', msb, lsb },
  programs: Object.entries(sounds).map(([number, like]) => ({
    ...{ number: Number(number), name: `sound ${number}`, like },
    ...{ keys: undefined, voicesEach: 1 },
  })),
});

type Half = number | undefined;
const chosen = (program: number, [msb, lsb]: readonly [Half, Half], ...banks: Bank[]) => {
  const choice = nearestProgram({ program, msb, lsb }, { ...GENERAL_MIDI, banks });
  return choice && [choice.program.name, choice.msb, choice.lsb, choice.why];
};
const NEVER = [undefined, undefined] as const;

describe('the nearest program', () => {
  test('exactly what is asked for, though another sounds more like it', () => {
    const other = bank(undefined, undefined, { 0: 40, 1: 0 });
    expect(chosen(0, NEVER, other)).toEqual(['sound 0', undefined, undefined, 'exact']);
    expect(chosen(40, NEVER, other)).toEqual(['sound 0', undefined, undefined, 'same']);
    expect(chosen(41, NEVER, other)).toEqual(['sound 0', undefined, undefined, 'sub-group']);
    expect(chosen(3, NEVER, other)).toEqual(['sound 1', undefined, undefined, 'sub-group']);
  });

  test('a number nobody says anything of is like itself', () => {
    expect(likeOf(bank(0, 0, { 7: undefined }).programs[0]!)).toBe(7);
    expect(likeOf(bank(0, 0, { 7: 0 }).programs[0]!)).toBe(0);
    expect(chosen(6, NEVER, bank(1, undefined, { 7: undefined }))).toEqual([
      'sound 7',
      1,
      undefined,
      'sub-group',
    ]);
  });

  test('of two as near the first; of two exact ones the first, or one that both controllers select', () => {
    expect(chosen(5, NEVER, bank(1, undefined, { 3: 5 }), bank(2, undefined, { 4: 5 }))).toEqual([
      'sound 3',
      1,
      undefined,
      'same',
    ]);
    const coarse = bank(3, undefined, { 1: 7 });
    const fine = bank(undefined, 4, { 1: 8 });
    expect(chosen(1, [3, 4], coarse, fine)).toEqual(['sound 1', 3, 4, 'exact']);
    const both = { ...bank(3, 4, { 1: 9 }), programs: [{ ...coarse.programs[0]!, name: 'both' }] };
    expect(chosen(1, [3, 4], coarse, both, fine)).toEqual(['both', 3, 4, 'exact']);
    expect(chosen(1, [3, 4], both, coarse)).toEqual(['both', 3, 4, 'exact']);
    const first = chosen(
      1,
      [3, 4],
      { ...coarse, programs: [{ ...coarse.programs[0]!, name: 'first' }] },
      fine,
    );
    expect(first![0]).toBe('first');
  });

  test('the half of a bank that is not asked of it stays as it was asked for', () => {
    expect(chosen(1, [3, 9], bank(3, undefined, { 1: 1 }))).toEqual(['sound 1', 3, 9, 'exact']);
    expect(chosen(1, [9, 3], bank(undefined, 3, { 1: 1 }))).toEqual(['sound 1', 9, 3, 'exact']);
    expect(chosen(1, [3, undefined], bank(3, undefined, { 1: 1 }))).toEqual([
      'sound 1',
      3,
      undefined,
      'exact',
    ]);
    expect(chosen(1, [0, 0], bank(undefined, undefined, { 1: 1 }))).toEqual([
      'sound 1',
      undefined,
      undefined,
      'exact',
    ]);
    // Only of what is there exactly: the nearest is selected as its bank says.
    expect(chosen(2, [3, 9], bank(3, undefined, { 1: 1 }))![2]).toBeUndefined();
  });

  test('nothing where nothing is listed', () => {
    expect(chosen(0, NEVER)).toBeUndefined();
    expect(chosen(0, NEVER, bank(0, 0, {}))).toBeUndefined();
  });
});

test.each<[Half, Half, Half, Half, boolean]>([
  // Bank by CC 0 and 32, and what was sent: never is 0.
  [undefined, undefined, undefined, undefined, true],
  [undefined, undefined, 0, 0, true],
  [undefined, undefined, 1, 0, false],
  [undefined, undefined, 0, 1, false],
  [0, 0, undefined, undefined, true],
  [3, undefined, 3, 99, true],
  [3, undefined, undefined, 99, false],
  [undefined, 4, 99, 4, true],
  [undefined, 4, 99, undefined, false],
  [undefined, 0, 5, undefined, true],
  [3, 4, 3, 4, true],
  [3, 4, 3, undefined, false],
  [3, 4, undefined, 4, false],
])('bank %o/%o is selected by %o/%o: %s', (msb, lsb, sentMsb, sentLsb, is) => {
  expect(isBank(bank(msb, lsb, {}), { msb: sentMsb, lsb: sentLsb })).toBe(is);
});
