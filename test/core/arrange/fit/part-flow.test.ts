import { describe, expect, test } from 'vitest';
import { type PartPiece, servedPieces } from '../../../../src/core/arrange/fit/part-flow.ts';

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
