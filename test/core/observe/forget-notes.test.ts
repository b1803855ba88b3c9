import { expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { foldMessage } from '../../../src/core/observe/fold-message.ts';
import { forgetChannels, forgetKey } from '../../../src/core/observe/forget-notes.ts';
import type { ObservedState } from '../../../src/core/observe/observed-state.ts';
import { hex } from '../../support/hex.ts';

/** On channels 1, 2 and 16: key 0 struck twice, key 127 held by the pedal alone. */
function heard(): ObservedState {
  const observed = createObservedState();
  for (const channel of [0, 1, 15]) {
    for (const message of ['B0 40 7F', '90 00 05', '90 00 06', '90 7F 07', '80 7F 40']) {
      const [status, data1, data2] = hex(message);
      foldMessage(observed, status! | channel, data1!, data2!, new Float64Array(3));
    }
  }
  return observed;
}

/** Each key that sounds or is held, and how many sound by the count of their channel. */
function picture({ strikes, velocity, pedalHeld, sounding }: ObservedState) {
  const keys = [...strikes.keys()].filter((cell) => strikes[cell]! + velocity[cell]! + pedalHeld[cell]! > 0);
  const counted = [...sounding.entries()].filter(([, count]) => count !== 0);
  return {
    keys: keys.map(
      (cell) => `${cell >> 7}:${cell & 127} ${strikes[cell]} ${velocity[cell]} ${pedalHeld[cell]}`,
    ),
    counted: counted.map(([channel, count]) => `${channel}:${count}`),
  };
}

const ALL = ['0:0 2 6 0', '0:127 0 0 1', '1:0 2 6 0', '1:127 0 0 1', '15:0 2 6 0', '15:127 0 0 1'];

test('a key is forgotten with all its strikes, once', () => {
  const observed = heard();
  expect(picture(observed)).toEqual({ keys: ALL, counted: ['0:1', '1:1', '15:1'] });
  for (let time = 0; time < 2; time += 1) {
    forgetKey(observed, 1, 0);
    expect(picture(observed)).toEqual({
      keys: ALL.filter((key) => !key.startsWith('1:0')),
      counted: ['0:1', '15:1'],
    });
  }
});

test('a key that only the pedal holds is forgotten too, and was none of those that sound', () => {
  const observed = heard();
  forgetKey(observed, 15, 127);
  expect(picture(observed)).toEqual({ keys: ALL.slice(0, -1), counted: ['0:1', '1:1', '15:1'] });
});

test.each([
  [0b1, ['1', '15']],
  [0b10, ['0', '15']],
  [0x8000, ['0', '1']],
  [0x8003, []],
  [0x7ffc, ['0', '1', '15']],
])('of channels %i every key', (channels, left) => {
  const observed = heard();
  forgetChannels(observed, channels);
  expect(picture(observed)).toEqual({
    keys: ALL.filter((key) => left.includes(key.split(':')[0]!)),
    counted: left.map((channel) => `${channel}:1`),
  });
});
