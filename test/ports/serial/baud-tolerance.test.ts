import { expect, it } from 'vitest';
import { isBaudClose } from '../../../src/ports/serial/baud-tolerance.ts';

it.each([
  [31_250, true],
  [31_562, true], // 1 % is 312.5
  [31_563, false],
  [30_938, true],
  [30_937, false],
  [38_400, false],
  [28_800, false],
])('31,250 ± 1 %% (MIDI 1.0, p. 1): %i is close enough: %s', (made, close) => {
  expect(isBaudClose(made, 31_250)).toBe(close);
});

it('the tolerance is of the rate asked for', () => {
  expect([isBaudClose(101, 100), isBaudClose(102, 100), isBaudClose(99, 100), isBaudClose(98, 100)]).toEqual([
    true,
    false,
    true,
    false,
  ]);
});
