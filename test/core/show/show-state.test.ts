import fc from 'fast-check';
import { expect, test } from 'vitest';
import { decodeShowState, encodeShowState, type ShowState } from '../../../src/core/show/show-state.ts';

const STATE: ShowState = {
  schema: 'wirepit-show-state/1',
  set: 'harvest.toml',
  place: { round: 2, turn: 1, played: 0 },
  song: 'night-ferry.mid',
  positionMicros: 12_345_678,
};

test('what is kept is read', () => {
  expect(decodeShowState(encodeShowState(STATE))).toEqual(STATE);
});

test('a state that is cut, or anything else, is none', () => {
  const text = encodeShowState(STATE).trimEnd();
  for (let length = 0; length < text.length; length++)
    expect(decodeShowState(text.slice(0, length))).toBeUndefined();
  for (const wrong of [
    'null',
    '[]',
    '{}',
    '3',
    text.replace('"turn":1', '"turn":-1'),
    text.replace('"turn":1', '"turn":1e99'),
  ]) {
    expect(decodeShowState(wrong)).toBeUndefined();
  }
  fc.assert(fc.property(fc.json(), (json) => decodeShowState(json) === undefined));
});
