import { describe, expect, test } from 'vitest';
import {
  heldUp,
  NO_STANDSTILLS,
  StandstillList,
  standstillCounts,
  standstillMicros,
  standstillWords,
} from '../../../src/core/compare/standstills.ts';

type Stretch = readonly [from: number, to: number];

function listOf(...stretches: Stretch[]): StandstillList {
  const list = new StandstillList();
  for (const [from, to] of stretches) list.add(from, to);
  return list;
}

const pairs = ({ fromMicros, toMicros }: ReturnType<StandstillList['all']>): Stretch[] =>
  Array.from(fromMicros, (from, n) => [from, toMicros[n]!]);

describe('stretches in which a listener stood still', () => {
  test('are one where they are no farther apart than 20 ms', () => {
    expect(pairs(listOf([0, 100], [20_100, 20_200]).all())).toEqual([[0, 20_200]]);
    expect(pairs(listOf([0, 100], [20_101, 20_200]).all())).toEqual([
      [0, 100],
      [20_101, 20_200],
    ]);
    expect(pairs(listOf([0, 900], [100, 200]).all())).toEqual([[0, 900]]);
    expect(pairs(listOf().all())).toEqual([]);
  });

  test('are a hundred thousand at most', () => {
    const list = new StandstillList();
    for (let n = 0; n < 100_000; n += 1) list.add(50_000 * n, 50_000 * n + 1);
    expect(list.all().toMicros).toHaveLength(100_000);
    list.add(1e12, 1e12 + 1);
    const { fromMicros, toMicros } = list.all();
    expect([fromMicros.length, fromMicros.at(-1), toMicros.at(-1)]).toEqual([
      100_000,
      50_000 * 99_999,
      1e12 + 1,
    ]);
  });

  test('that may have held up what came between two moments end 20 ms before it at the earliest', () => {
    const list = listOf([100_000, 110_000], [200_000, 210_000], [300_000, 310_000]);
    const between = (from: number, until: number) => pairs(list.between(from, until)).map(([at]) => at);
    expect(between(129_999, 300_000)).toEqual([100_000, 200_000, 300_000]);
    expect(between(130_000, 299_999)).toEqual([200_000]);
    expect(between(0, 99_999)).toEqual([]);
    expect(between(900_000, 0)).toEqual([]);
    expect(list.between(900_000, 0).toMicros).toHaveLength(0);
  });
});

describe('a note is held up', () => {
  const all = listOf([100_000, 110_000], [200_000, 210_000], [300_000, 310_000]).all();
  const held = (...micros: number[]) => [
    ...heldUp({ count: micros.length, micros: Float64Array.from(micros) }, all),
  ];

  test('from the beginning of a stretch to 10 ms behind its end', () => {
    expect(held(99_999, 100_000, 110_000, 120_000, 120_001)).toEqual([0, 1, 1, 1, 0]);
    expect(held(199_999, 200_000, 310_000, 320_000, 320_001, 999_999)).toEqual([0, 1, 1, 1, 0, 0]);
  });

  test('whatever came before it', () => {
    expect(held(320_000, 99_999, 320_001, 220_000, 120_000, 0, 300_000)).toEqual([1, 0, 0, 1, 1, 0, 1]);
  });

  test('by one as by many', () => {
    const one = listOf([100_000, 110_000]).all();
    expect([...heldUp({ count: 3, micros: Float64Array.of(99_999, 105_000, 120_001) }, one)]).toEqual([
      0, 1, 0,
    ]);
  });

  test('by none where there is none', () => {
    const notes = { count: 2, micros: Float64Array.of(0, 5) };
    expect([...heldUp(notes, NO_STANDSTILLS)]).toEqual([0, 0]);
  });
});

test('how often, how long at the longest, and how many notes', () => {
  expect(standstillCounts(listOf([0, 10], [50_000, 50_020.6], [100_000, 100_005]).all(), 7)).toEqual({
    count: 3,
    longestMicros: 21,
    notes: 7,
  });
  expect(standstillCounts(NO_STANDSTILLS, 0)).toEqual({ count: 0, longestMicros: 0, notes: 0 });
});

test('a remark tells its length to a tenth of a millisecond, and is read again', () => {
  expect(standstillWords(12_345)).toBe('wirepit stood still for 12.3 ms: what came meanwhile has this time');
  expect(standstillMicros(standstillWords(12_345))).toBe(12_300);
  expect(standstillMicros('wirepit stood still for 7 ms: x')).toBe(7000);
  expect(standstillMicros('something else')).toBeUndefined();
});
