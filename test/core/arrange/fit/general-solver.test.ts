import highsLoader from 'highs';
import { describe, expect, test } from 'vitest';
import { leastLoss } from '../../../../src/core/arrange/fit/least-loss.ts';
import { servedPieces } from '../../../../src/core/arrange/fit/part-flow.ts';
import { partProgramme, randomPieces, servedWorth } from '../../../support/part-programme.ts';
import { randomPlaces } from '../../../support/place-cases.ts';
import { keptValue, placeProgramme } from '../../../support/place-programme.ts';
import { seeded } from '../../../support/seeded.ts';

describe('plans, held against a general solver of linear programmes (highs)', () => {
  test('what sounds is worth as much, and never needs more than there are voices', async () => {
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

  test('parts play as much', async () => {
    const highs = await highsLoader();
    const chance = seeded(7);
    const below = (limit: number) => Math.floor(chance() * limit);
    for (let round = 0; round < 24; round += 1) {
      const [places, rest, setUp] = [1 + below(3), 1 + below(12), 0.25];
      const pieces = randomPieces(below, 2 + below(5));
      const served = servedWorth(pieces, servedPieces(pieces, places, rest, setUp), setUp);
      const best = highs.solve(partProgramme(pieces, places, rest, setUp)).ObjectiveValue;
      expect(Math.abs(served - best), `round ${round}`).toBeLessThan(1e-6 * Math.max(1, best));
    }
  });
});
