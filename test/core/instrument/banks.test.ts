import { describe, expect, test } from 'vitest';
import { findProgram } from '../../../src/core/instrument/find-program.ts';
import { GENERAL_MIDI } from '../../../src/core/instrument/general-midi-instrument.ts';
import type { Bank } from '../../../src/core/instrument/instrument.ts';
import {
  channelRanges,
  drumChannelsOf,
  reachedInstrument,
  seatedOrchestra,
  seatWords,
  soloOrchestra,
} from '../../../src/core/instrument/orchestra.ts';
import { overlappingBanks } from '../../../src/core/instrument/overlapping-banks.ts';

type Select = readonly [msb: number | undefined, lsb: number | undefined];

/** A bank with these programs, each called after its bank. */
const bank = (name: string, [msb, lsb]: Select, ...numbers: number[]): Bank => ({
  ...{ name, msb, lsb },
  programs: numbers.map((number) => ({ number, name, like: undefined, keys: undefined, voicesEach: 1 })),
});
const _ = undefined;

describe('the sound behind a bank select and a program', () => {
  const found = (banks: readonly Bank[], msb: number, lsb: number, program: number) => {
    const one = findProgram({ ...GENERAL_MIDI, banks }, msb, lsb, program);
    return one.kind === 'found' ? one.program.name : one.kind;
  };
  const MSB = [bank('A', [0, _], 0, 1), bank('B', [1, _], 0)];
  const BOTH = [bank('A', [0, _], 0, 1), bank('A2', [0, 2], 0), bank('B', [1, 3], 0)];

  test.each([
    [MSB, -1, -1, 0, 'A'],
    [MSB, 1, -1, 0, 'B'],
    // Selected by the coarse half alone: the fine one may be anything.
    [MSB, 1, 99, 0, 'B'],
    [MSB, 1, -1, 1, 'no-program'],
    [MSB, 2, -1, 0, 'no-bank'],
    // The one that says more wins, wherever it stands.
    [BOTH, 0, 2, 0, 'A2'],
    [BOTH, 0, 1, 0, 'A'],
    [BOTH, 0, 2, 1, 'A'],
    [BOTH.toReversed(), 0, 2, 0, 'A2'],
    [BOTH.toReversed(), 0, 2, 1, 'A'],
    [BOTH, 1, 0, 0, 'no-bank'],
    [BOTH, 1, 3, 0, 'B'],
    // Nothing was selected: the bank it starts with, its first, or the one at 0.
    [[bank('X', [5, 5], 0), bank('A', [0, 0], 1)], -1, -1, 0, 'X'],
    [[bank('X', [5, 5], 0), bank('A', [0, 0], 1)], -1, -1, 1, 'A'],
    [[bank('X', [5, 5], 0), bank('A', [0, 0], 0)], -1, -1, 0, 'A'],
    [[bank('X', [5, 5], 0), bank('Y', [6, 6], 0)], -1, -1, 0, 'X'],
    [[bank('X', [5, 5], 0), bank('Y', [6, 6], 0)], 0, -1, 0, 'no-bank'],
    [[bank('X', [5, 5], 0), bank('Y', [6, 6], 0)], -1, 0, 0, 'no-bank'],
    [[bank('X', [5, 5], 0), bank('Y', [6, 6], 0)], -1, 5, 0, 'no-bank'],
    // Half a select is 0 in the other half.
    [[bank('X', [0, 5], 0), bank('Y', [6, 0], 0)], -1, 5, 0, 'X'],
    [[bank('X', [0, 5], 0), bank('Y', [6, 0], 0)], 6, -1, 0, 'Y'],
    // One that nothing selects heeds no select.
    [[bank('A', [_, _], 0)], 7, 7, 0, 'A'],
    [[bank('A', [_, _], 0)], 7, 7, 1, 'no-program'],
    [[], 0, 0, 0, 'no-bank'],
  ] as const)('%j: %i/%i program %i is %s', (banks, msb, lsb, program, name) => {
    expect(found(banks, msb, lsb, program)).toBe(name);
  });
});

describe('banks that cannot be told apart', () => {
  test.each<[Bank[], number | undefined, string]>([
    [[bank('A', [_, _], 0)], _, ''],
    [[bank('A', [0, _], 0), bank('B', [_, _], 1)], 1, 'nothing selects the bank "B"'],
    [[bank('A', [_, _], 0), bank('B', [0, _], 1)], 0, 'nothing selects the bank "A"'],
    [[bank('A', [0, _], 0), bank('B', [1, _], 0)], _, ''],
    [[bank('A', [0, 0], 0), bank('B', [0, 1], 0)], _, ''],
    [[bank('A', [0, 0], 0), bank('B', [0, 0], 0)], 1, 'the bank "A"'],
    [[bank('A', [0, 0], 0, 2), bank('B', [0, 0], 1, 3)], _, ''],
    [[bank('A', [0, 0], 0, 1), bank('B', [0, 0], 1, 3)], 1, 'the bank "A"'],
    [[bank('A', [0, _], 0), bank('B', [0, 1], 0)], 1, 'the bank "A"'],
    [[bank('A', [_, 1], 0), bank('B', [0, 1], 0)], 1, 'the bank "A"'],
    [[bank('A', [_, 1], 0), bank('B', [0, _], 0)], 1, 'the bank "A"'],
    [[bank('A', [1, _], 0), bank('B', [0, _], 0), bank('C', [0, 4], 0)], 2, 'the bank "B"'],
  ])('%j: the one at %s', (banks, at, what) => {
    const clash = overlappingBanks(banks);
    expect(clash?.at).toBe(at);
    expect(clash?.what ?? '').toContain(what);
  });
});

describe('several instruments', () => {
  const first = { ...GENERAL_MIDI, name: 'First' };
  const second = { ...GENERAL_MIDI, name: 'Second', drums: { ...GENERAL_MIDI.drums, channels: [3, 9] } };
  const seat = (port: string, instrument: typeof first, channels: readonly number[]) => ({
    ...{ port, instrument, channels, instrumentName: undefined },
  });

  test('each channel has that of its seat; those that go nowhere have the first', () => {
    const orchestra = seatedOrchestra([seat('a', first, [0, 9]), seat('b', second, [3, 15])]);
    expect(orchestra.map(({ name }) => name[0]).join('')).toBe('FFFSFFFFFFFFFFFS');
    expect(drumChannelsOf(orchestra)).toBe((1 << 9) | (1 << 3));
    expect(drumChannelsOf(soloOrchestra(second))).toBe((1 << 9) | (1 << 3));
    expect(seatWords(seat('a', second, []))).toBe('a (Second)');
  });

  test('an instrument as far as it is reached', () => {
    const { channels, drums } = reachedInstrument({ instrument: second, channels: [2, 3] });
    expect([channels, drums.channels]).toEqual([[2, 3], [3]]);
    const deaf = reachedInstrument({ instrument: { ...second, channels: [3] }, channels: [2, 3] });
    expect(deaf.channels).toEqual([3]);
  });

  test.each([
    [[0], '1'],
    [[0, 1], '1-2'],
    [[0, 2], '1,3'],
    [[13, 14, 15], '14-16'],
    [[0, 1, 3, 5, 6], '1-2,4,6-7'],
  ])('channels %j are %s', (channels, text) => {
    expect(channelRanges(channels)).toBe(text);
  });
});
