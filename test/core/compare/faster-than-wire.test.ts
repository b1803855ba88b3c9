import { expect, test } from 'vitest';
import { inOrderAlone, isFasterThanAnyWire } from '../../../src/core/compare/faster-than-wire.ts';
import type { HeardMusic } from '../../../src/core/compare/heard-music.ts';

/** Notes at those times, in so many bytes. */
const music = (micros: readonly number[], bytes: number) =>
  ({ bytes, on: { count: micros.length, micros: Float64Array.from(micros) } }) as HeardMusic;
const spread = (count: number, span: number, from = 0) =>
  Array.from({ length: count }, (_, n) => from + (n * span) / (count - 1));

// A byte of the wire takes 320 µs (MIDI 1.0, p. 1): a hundred take 32 ms, half of which nobody can be faster than.
test('what comes in less than half the time that a wire needs for its bytes came through none', () => {
  expect(isFasterThanAnyWire(music(spread(12, 15_999), 100))).toBe(true);
  expect(isFasterThanAnyWire(music(spread(12, 16_000), 100))).toBe(false);
  expect(isFasterThanAnyWire(music(spread(12, 15_999, 1e6), 100))).toBe(true);
  expect(isFasterThanAnyWire(music(spread(12, 16_000, 1e6), 100))).toBe(false);
  // In whatever order it is stamped, as bytes that were told apart afterwards may be.
  expect(isFasterThanAnyWire(music([9, 40_000, ...spread(10, 5, 20)], 100))).toBe(false);
  expect(isFasterThanAnyWire(music([40_000, 9, ...spread(10, 5, 40_000)], 100))).toBe(false);
});

test('of fewer than twelve notes nobody can tell', () => {
  expect(isFasterThanAnyWire(music(spread(11, 1), 100))).toBe(false);
});

test('the same with the order for a time: three bytes for each message before it', () => {
  const heard = {
    hasTimes: true,
    on: { count: 3, micros: Float64Array.of(5, 6, 7), message: Uint32Array.of(0, 2, 3) },
  };
  const alone = inOrderAlone(heard as unknown as HeardMusic);
  expect([alone.hasTimes, ...alone.on.micros]).toEqual([false, 0, 1920, 2880]);
});
