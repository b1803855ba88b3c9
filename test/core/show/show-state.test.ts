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

/** The text of a state in which one thing is another. */
const withField = (name: string, value: unknown): string =>
  JSON.stringify(
    name in STATE.place
      ? { ...STATE, place: { ...STATE.place, [name]: value } }
      : { ...STATE, [name]: value },
  );

const valuesOf = (name: string, ...values: readonly unknown[]) =>
  values.map((value): [string, unknown] => [name, value]);

test.each<[string, unknown]>([
  ['schema', 'wirepit-show-state/2'],
  ['set', 7],
  ['song', null],
  ['place', null],
  ...['positionMicros', 'round', 'turn', 'played'].flatMap((name) => valuesOf(name, -1, 0.5, '1')),
  ['positionMicros', 2 ** 53],
  ['round', 1_000_000_001],
  ['turn', 1_000_000_001],
  ['played', 1_000_000_001],
])('a state whose %s is %j is none', (name, value) => {
  expect(decodeShowState(withField(name, value))).toBeUndefined();
});

test.each<[string, unknown]>([
  ['positionMicros', 0],
  ['positionMicros', Number.MAX_SAFE_INTEGER],
  ...['round', 'turn', 'played'].flatMap((name) => valuesOf(name, 0, 1_000_000_000)),
])('one whose %s is %j is whole', (name, value) => {
  expect(decodeShowState(withField(name, value))).toEqual(JSON.parse(withField(name, value)));
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
