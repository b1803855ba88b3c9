import { describe, expect, test } from 'vitest';
import { leastLoss } from '../../../../src/core/arrange/fit/least-loss.ts';
import type { PlaceProblem } from '../../../../src/core/arrange/fit/place-problem.ts';

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
