import type { PlaceProblem } from '../../src/core/arrange/fit/place-problem.ts';

/** A problem of chains thrown at random over `points`; where nothing binds, that too is a case. */
export function randomPlaces(
  below: (limit: number) => number,
  size: {
    readonly points: number;
    readonly chains: number;
    readonly places: number;
    readonly longest: number;
  },
): PlaceProblem {
  const { points, chains, places, longest } = size;
  const first = Uint32Array.from({ length: chains }, () => below(points)).sort();
  const pieceStart = new Uint32Array(chains + 1);
  for (let chain = 0; chain < chains; chain += 1) {
    const length = Math.min(points - first[chain]!, 1 + below(longest));
    pieceStart[chain + 1] = pieceStart[chain]! + length;
  }
  const value = Float64Array.from({ length: pieceStart[chains]! }, () =>
    below(10) === 0 ? 0 : below(1_000_000) / 250_000,
  );
  return { points, places, first, pieceStart, value };
}
