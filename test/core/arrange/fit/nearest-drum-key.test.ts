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
  // Names of General MIDI 1 and 2: a hi-hat before a tambourine for a crash-less box, and so on.
  ['a tambourine for a hi-hat', 42, [54, 36], 54],
  ['a ride before a tambourine for a hi-hat', 42, [51, 54], 51],
  ['a hi-hat before a crash for a ride', 51, [46, 49], 46],
  ['a crash for a ride', 51, [36, 49], 49],
  ['a hi-hat for a tambourine', 54, [42, 51], 42],
  ['a conga before a tom for a timbale', 65, [50, 63], 63],
  ['a tom for a timbale', 65, [50, 38], 50],
  ['a wood block before a ride for a cowbell', 56, [51, 76], 76],
  ['a ride for a cowbell', 56, [51, 38], 51],
  ['a snare for a wood block', 76, [40, 42], 40],
  ['a ride for a triangle', 81, [51, 42], 51],
  ['a shaker for a guiro', 73, [70, 42], 70],
  ['nothing for a whistle', 71, [51, 42, 38, 36, 70, 76, 81], undefined],
  ['a bongo for a cuica', 78, [60, 50], 60],
  ['nothing but that for a cuica', 78, [50, 36], undefined],
  ['a bongo before a tom for a surdo', 86, [50, 61], 61],
  ['a tom for a surdo', 86, [50, 36], 50],
  ['nothing for a bass drum', 36, [38, 41, 42], undefined],
  ['nothing for a tom', 41, [36, 38, 60], undefined],
  ['nothing like it', 38, [42], undefined],
  ['no percussion at all', 26, [38], undefined],
  ['an instrument that lists nothing: nothing is known', 26, [], 26],
])('%s', (_what, key, has, other) => {
  expect(nearestDrumKey(key, having(...has))).toBe(other);
});
