import { expect, test } from 'vitest';
import type { ComparisonDocument } from '../../../src/core/compare/comparison-document.ts';
import type { LiveSign } from '../../../src/core/compare/live-signs.ts';
import { type LiveView, OTHER, saysNothing, WAITING } from '../../../src/core/compare/live-view.ts';
import { NO_SYSEX } from '../../../src/core/compare/sysex-document.ts';

const CLEAN = { differences: [], state: [], causes: [], sysEx: NO_SYSEX } as unknown as ComparisonDocument;
const view = (soFar: Partial<ComparisonDocument>, signs: readonly LiveSign[] = []): LiveView => ({
  state: 'following',
  songMicros: 5,
  soFar: { ...CLEAN, ...soFar },
  signs,
});
const one = (thing: object) => [thing] as never;

test('before anything can be told nothing is said, and where the song stands is not known', () => {
  expect([saysNothing(WAITING), saysNothing(OTHER)]).toEqual([true, true]);
  expect([WAITING.songMicros, OTHER.songMicros, OTHER.state]).toEqual([-1, -1, 'other']);
});

test('one of anything is something that is said against the player', () => {
  expect(saysNothing(view({}))).toBe(true);
  expect(saysNothing(view({ differences: one({}) }))).toBe(false);
  expect(saysNothing(view({ state: one({}) }))).toBe(false);
  expect(saysNothing(view({ causes: one({}) }))).toBe(false);
  expect(saysNothing(view({ sysEx: { ...NO_SYSEX, differences: one({}) } }))).toBe(false);
  expect(saysNothing(view({}, one({})))).toBe(false);
  expect(saysNothing({ ...WAITING, signs: one({}) })).toBe(false);
});
