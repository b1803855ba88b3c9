import { describe, expect, test } from 'vitest';
import { type PartPiece, servedPieces } from '../../../../src/core/arrange/fit/part-flow.ts';
import { randomPieces, servedWorth } from '../../../support/part-programme.ts';
import { seeded } from '../../../support/seeded.ts';

const piece = (part: number, from: number, until: number, worth: number): PartPiece => ({
  part,
  from,
  until,
  worth,
});

describe('parts served by too few places', () => {
  test('a place leaves a part in its middle, and comes back, where the pause allows it', () => {
    const pieces = [piece(0, 0, 10, 5), piece(1, 20, 30, 4), piece(0, 21, 22, 1), piece(0, 40, 50, 5)];
    expect(servedPieces(pieces, 1, 10, 0.1).isServed).toEqual([true, true, false, true]);
    // The pause is too long: the part that has more keeps the place, and goes on without one.
    expect(servedPieces(pieces, 1, 11, 0.1)).toEqual({
      isServed: [true, false, true, true],
      goesOn: [false, false, true, true],
    });
  });

  test('no place is set up for less than that costs', () => {
    expect(servedPieces([piece(0, 0, 1, 1)], 2, 0, 2).isServed).toEqual([false]);
  });
});

/** The most that can be served, by trying every place for every piece. */
function mostServed(pieces: readonly PartPiece[], places: number, rest: number, setUp: number): number {
  const before = pieces.map(({ part }, at) => pieces.slice(0, at).findLastIndex((one) => one.part === part));
  const last = new Array<number>(places).fill(-1);
  const best = (at: number): number => {
    if (at === pieces.length) return 0;
    let most = best(at + 1);
    for (let place = 0; place < places; place += 1) {
      const was = last[place]!;
      const goesOn = was >= 0 && was === before[at];
      if (was >= 0 && !goesOn && pieces[was]!.until > pieces[at]!.from - rest) continue;
      last[place] = at;
      most = Math.max(most, pieces[at]!.worth - (goesOn ? 0 : setUp) + best(at + 1));
      last[place] = was;
    }
    return most;
  };
  return best(0);
}

test.each([1, 2, 3])('%i places serve as much as any other choice would', (places) => {
  const chance = seeded(places + 40);
  const below = (limit: number) => Math.floor(chance() * limit);
  for (let round = 0; round < 120; round += 1) {
    const pieces = randomPieces(below, 1 + below(4)).slice(0, 7);
    const [rest, setUp] = [below(12), [0, 0.25, 1, 3][below(4)]!];
    const served = servedPieces(pieces, places, rest, setUp);
    expect(servedWorth(pieces, served, setUp), `round ${round}`).toBeCloseTo(
      mostServed(pieces, places, rest, setUp),
      9,
    );
    // What goes on was served before.
    for (const [at, goesOn] of served.goesOn.entries()) {
      const before = pieces.slice(0, at).findLastIndex(({ part }) => part === pieces[at]!.part);
      if (goesOn) expect([served.isServed[at], served.isServed[before]]).toEqual([true, true]);
    }
  }
});

test('nothing to serve, and nobody to serve it', () => {
  expect(servedPieces([], 2, 0, 1)).toEqual({ isServed: [], goesOn: [] });
  expect(servedPieces([piece(0, 0, 1, 9)], 0, 0, 1).isServed).toEqual([false]);
});
