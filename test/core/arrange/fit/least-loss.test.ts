import { describe, expect, test } from 'vitest';
import { leastLoss } from '../../../../src/core/arrange/fit/least-loss.ts';
import type { PlaceProblem } from '../../../../src/core/arrange/fit/place-problem.ts';
import { randomPlaces } from '../../../support/place-cases.ts';
import { mostKeptPlainly } from '../../../support/place-flow-plain.ts';
import { keptValue } from '../../../support/place-programme.ts';
import { seeded } from '../../../support/seeded.ts';

function problem(
  points: number,
  places: number,
  chains: readonly (readonly [number, number[]])[],
): PlaceProblem {
  const pieceStart = [0];
  for (const [, values] of chains) pieceStart.push(pieceStart.at(-1)! + values.length);
  return {
    points,
    places,
    first: Uint32Array.from(chains, ([first]) => first),
    pieceStart: Uint32Array.from(pieceStart),
    value: Float64Array.from(chains.flatMap(([, values]) => values)),
  };
}

describe('the least loss', () => {
  test('of two notes and one voice the one that is worth more is kept', () => {
    expect([
      ...leastLoss(
        problem(1, 1, [
          [0, [1]],
          [0, [2]],
        ]),
      ),
    ]).toEqual([0, 1]);
  });

  test('a held note gives way to a better one that begins, and keeps what it had', () => {
    expect([
      ...leastLoss(
        problem(2, 1, [
          [0, [3, 1]],
          [1, [2]],
        ]),
      ),
    ]).toEqual([1, 1]);
  });

  test('a note is left out when that lets two others through', () => {
    expect([
      ...leastLoss(
        problem(2, 1, [
          [0, [1, 2]],
          [0, [2]],
          [1, [2]],
        ]),
      ),
    ]).toEqual([0, 1, 1]);
  });

  test('no places: nothing is kept', () => {
    expect([
      ...leastLoss(
        problem(2, 0, [
          [0, [1, 2]],
          [1, [2]],
        ]),
      ),
    ]).toEqual([0, 0]);
  });
});

/** The most that can be kept, by trying every prefix of every chain. */
function mostKept({ places, points, first, pieceStart, value }: PlaceProblem): number {
  const used = new Uint8Array(points);
  const best = (chain: number): number => {
    if (chain === first.length) return 0;
    let most = best(chain + 1);
    let kept = 0;
    const length = pieceStart[chain + 1]! - pieceStart[chain]!;
    let taken = 0;
    for (; taken < length && used[first[chain]! + taken]! < places; taken += 1) {
      used[first[chain]! + taken]! += 1;
      kept += value[pieceStart[chain]! + taken]!;
      most = Math.max(most, kept + best(chain + 1));
    }
    for (let step = 0; step < taken; step += 1) used[first[chain]! + step]! -= 1;
    return most;
  };
  return best(0);
}

describe('the least loss, held against every other choice', () => {
  test.each([1, 2, 3, 4])(
    'for %i places, of few and of many chains, with values that are often alike',
    (places) => {
      const chance = seeded(places);
      const below = (limit: number) => Math.floor(chance() * limit);
      for (let round = 0; round < 150; round += 1) {
        const size = { points: 1 + below(6), chains: 1 + below(6), places, longest: 1 + below(4) };
        const random = randomPlaces(below, size);
        const alike =
          round % 2 === 0 ? random : { ...random, value: random.value.map((one) => Math.round(one)) };
        const kept = leastLoss(alike);
        expect(keptValue(alike, kept), `round ${round}`).toBeCloseTo(mostKept(alike), 9);
        const used = new Uint32Array(size.points);
        for (const [chain, pieces] of kept.entries()) {
          for (let step = 0; step < pieces; step += 1) used[random.first[chain]! + step]! += 1;
        }
        expect(Math.max(...used)).toBeLessThanOrEqual(places);
      }
    },
  );

  test('as much as by a plain flow, where there is too much to try', () => {
    const chance = seeded(5);
    const below = (limit: number) => Math.floor(chance() * limit);
    for (let round = 0; round < 80; round += 1) {
      const size = {
        points: 6 + below(20),
        chains: 6 + below(30),
        places: 1 + below(7),
        longest: 2 + below(10),
      };
      const one = randomPlaces(below, size);
      expect(keptValue(one, leastLoss(one)), `round ${round}`).toBeCloseTo(mostKeptPlainly(one), 9);
    }
  });

  test('of stretches that nothing joins each is kept best for itself, whatever the one before took', () => {
    const chance = seeded(77);
    const below = (limit: number) => Math.floor(chance() * limit);
    for (let round = 0; round < 200; round += 1) {
      const places = 1 + below(3);
      const parts = [0, 1, 2].map(() =>
        randomPlaces(below, { points: 1 + below(4), chains: [2, 7][below(2)]!, places, longest: 4 }),
      );
      const chains: [number, number[]][] = [];
      let points = 0;
      for (const one of parts) {
        for (const [chain, first] of one.first.entries()) {
          const values = one.value.slice(one.pieceStart[chain]!, one.pieceStart[chain + 1]!);
          chains.push([points + first, [...values]]);
        }
        points += one.points;
      }
      const whole = problem(points, places, chains);
      const most = parts.reduce((sum, one) => sum + mostKept(one), 0);
      expect(keptValue(whole, leastLoss(whole)), `round ${round}`).toBeCloseTo(most, 9);
    }
  });

  test('many more chains than places, all at one point: the best of them', () => {
    const chains = Array.from({ length: 3000 }, (_, n): [number, number[]] => [0, [(n * 7) % 3000]]);
    const kept = leastLoss(problem(1, 2, chains));
    const best = chains.filter((_, chain) => kept[chain]! > 0).map(([, [value]]) => value!);
    expect(best.sort((a, b) => a - b)).toEqual([2998, 2999]);
  });

  test('places enough: all is kept, of stretches that nothing joins as well', () => {
    const apart = problem(4, 2, [
      [0, [1, 1]],
      [0, [0, 1]],
      [2, [1]],
      [3, [0]],
      [3, [2]],
    ]);
    expect([...leastLoss(apart)]).toEqual([2, 2, 1, 1, 1]);
  });
});
