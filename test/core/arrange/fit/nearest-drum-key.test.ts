import { expect, test } from 'vitest';
import { nearestDrumKey } from '../../../../src/core/arrange/fit/nearest-drum-key.ts';

/** Keys of General MIDI 2 percussion, 27 to 87 (from memory). */
const KEYS = Array.from({ length: 61 }, (_, n) => 27 + n);
const having = (...keys: number[]) => new Map(keys.map((key) => [key, `drum ${key}`]));

test('each has a stand-in among all others, but for the one that is like none', () => {
  const lonely = KEYS.filter(
    (key) => nearestDrumKey(key, having(...KEYS.filter((one) => one !== key))) === undefined,
  );
  expect(lonely).toEqual([58]);
  for (const key of KEYS) expect(nearestDrumKey(key, having(...KEYS))).toBe(key);
});

test.each([
  ['a second snare', 40, [36, 38, 42], 38],
  ['of two alike the nearer', 43, [41, 50], 41],
  ['of two as near the one that is listed first', 45, [43, 47], 43],
  ['a tom for a hand drum', 60, [36, 50], 50],
  ['a hi-hat for a shaker', 70, [38, 46], 46],
  ['a ride for a hi-hat', 42, [36, 51, 49], 51],
  ['a crash for a hi-hat where there is no ride', 42, [36, 49], undefined],
  ['a ride for a crash, and no hi-hat', 49, [42, 59], 59],
  ['a stand-in has none of its own', 69, [51], undefined],
  ['nothing like it', 38, [42], undefined],
  ['no percussion at all', 26, [38], undefined],
  ['an instrument that lists nothing: nothing is known', 26, [], 26],
])('%s', (_what, key, has, other) => {
  expect(nearestDrumKey(key, having(...has))).toBe(other);
});
