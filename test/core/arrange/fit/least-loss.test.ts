import highsLoader from 'highs';
import { describe, expect, test } from 'vitest';
import { leastLoss } from '../../../../src/core/arrange/fit/least-loss.ts';
import type { PlaceProblem } from '../../../../src/core/arrange/fit/place-problem.ts';
import { randomPlaces } from '../../../support/place-cases.ts';
import { keptValue, placeProgramme } from '../../../support/place-programme.ts';
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

  test('as good as a general solver of linear programmes (highs), and never more than there are places', async () => {
    const highs = await highsLoader();
    const chance = seeded(11);
    const below = (limit: number) => Math.floor(chance() * limit);
    for (let round = 0; round < 24; round += 1) {
      const size = {
        points: 4 + below(40),
        chains: 5 + below(60),
        places: 1 + below(6),
        longest: 1 + below(14),
      };
      const places = randomPlaces(below, size);
      const kept = leastLoss(places);
      const best = highs.solve(placeProgramme(places)).ObjectiveValue;
      expect(Math.abs(keptValue(places, kept) - best)).toBeLessThanOrEqual(1e-6 * Math.max(1, best));
      const used = new Uint32Array(size.points);
      for (const [chain, pieces] of kept.entries()) {
        for (let step = 0; step < pieces; step += 1) used[places.first[chain]! + step]! += 1;
      }
      expect(Math.max(...used)).toBeLessThanOrEqual(size.places);
    }
  });
});
