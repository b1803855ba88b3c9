import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { audibleChannels } from '../../../src/core/schedule/channel-settings.ts';
import { transposedKey } from '../../../src/core/schedule/transposed-key.ts';
import { trimmedVelocity } from '../../../src/core/schedule/trimmed-velocity.ts';

/** Channels (0–15) heard with these muted and soloed. */
function heard({ muted = [] as number[], soloed = [] as number[] }): number[] {
  const settings = createObservedState();
  for (const channel of muted) settings.muted[channel] = 1;
  for (const channel of soloed) settings.soloed[channel] = 1;
  const bits = audibleChannels(settings);
  return Array.from({ length: 16 }, (_, channel) => channel).filter((channel) => (bits >> channel) & 1);
}

describe('mute and solo', () => {
  test('all are heard', () => expect(heard({})).toHaveLength(16));
  test('a muted one is not', () => expect(heard({ muted: [3] })).not.toContain(3));
  test('with any solo only the soloed ones', () => expect(heard({ soloed: [0, 9] })).toEqual([0, 9]));
  test('mute wins over solo', () => expect(heard({ muted: [9], soloed: [0, 9] })).toEqual([0]));
});

describe('transposed keys', () => {
  test('keys move by semitones', () => expect(transposedKey(60, -5)).toBe(55));
  test('what leaves 0–127 comes back by octaves, with the same name', () => {
    const wrong: number[][] = [];
    for (let key = 0; key < 128; key += 1) {
      for (let semitones = -72; semitones <= 72; semitones += 1) {
        const sent = transposedKey(key, semitones);
        if (sent < 0 || sent > 127 || (sent - key - semitones) % 12 !== 0) wrong.push([key, semitones, sent]);
      }
    }
    expect(wrong).toEqual([]);
  });
});

test('a trimmed velocity stays a note-on', () => {
  expect([trimmedVelocity(64, -100), trimmedVelocity(64, 100), trimmedVelocity(64, -4)]).toEqual([
    1, 127, 60,
  ]);
});
