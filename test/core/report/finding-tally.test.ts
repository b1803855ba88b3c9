import { expect, test } from 'vitest';
import { FindingTally } from '../../../src/core/report/finding-tally.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { songBytes } from '../../support/song-bytes.ts';

/** Rows 0–7 a beat apart: two bars of 4/4. */
const TIMELINE = buildTimeline(
  readSong(songBytes([Array.from({ length: 8 }, (_, n) => [n === 0 ? 0 : 96, [0xb0, 1, n]] as const)])),
);

const told = (tally: FindingTally, notes = 1000) => tally.findings(TIMELINE, notes).map(({ text }) => text);

test('what, how much of the song, and from where', () => {
  const tally = new FindingTally();
  tally.add('no-program', 4, 5, '', 3);
  tally.add('no-program', 4, 6, '');
  expect(tally.findings(TIMELINE, 16)).toMatchObject([
    {
      ...{ code: 'no-program', port: null, channels: [5], at: { bar: 2, beat: 2, seconds: 2.5 } },
      ...{ count: 4, share: 0.25 },
      text: 'Channel 5: notes come before any program was sent (4 notes, 25 %, from bar 2, beat 2).',
    },
  ]);
});

test.each([
  [1, 1, '1 note, 100 %'],
  [2, 20, '2 notes, 10 %'],
  [99, 1000, '99 notes, 9.9 %'],
  [1, 1000, '1 note, 0.1 %'],
  [1, 1001, '1 note, under 0.1 %'],
  [1, 0, '1 note, 0.0 %'],
])('%i of %i notes: %s', (count, notes, much) => {
  const tally = new FindingTally();
  tally.add('no-program', 0, 0, '', count);
  expect(told(tally, notes)[0]).toContain(`(${much}, from bar 1, beat 1)`);
});

test('messages are counted, and are no share of the notes', () => {
  const tally = new FindingTally();
  tally.add('controller-not-followed', 0, 0, 'A');
  expect(tally.findings(TIMELINE, 1)).toMatchObject([{ count: 1, share: 0 }]);
  expect(told(tally)[0]).toMatch(/ A \(1 message, from/);
  tally.add('controller-not-followed', 0, 1, 'A');
  expect(told(tally)[0]).toMatch(/ A \(2 messages, from/);
});

test('five things are named, those that came most often first; the rest are counted', () => {
  const tally = new FindingTally();
  for (const [n, name] of ['A', 'B', 'C', 'D', 'E'].entries())
    tally.add('controller-not-followed', 0, 0, name, n + 1);
  expect(told(tally)[0]).toContain(' E, D, C, B, A (15 messages');
  tally.add('controller-not-followed', 0, 0, 'F', 6);
  tally.add('controller-not-followed', 0, 0, 'A', 9);
  expect(told(tally)[0]).toContain(' A, F, E, D, C and 1 more (30 messages');
});

test('channels of which the very same is said are told of together, at the first of their places', () => {
  const tally = new FindingTally();
  tally.add('controller-not-followed', 9, 4, 'A');
  tally.add('controller-not-followed', 2, 6, 'A');
  tally.add('controller-not-followed', 2, 6, 'B');
  tally.add('controller-not-followed', 0, 5, 'A', 2);
  tally.add('no-program', 0, 1, '');
  const found = tally.findings(TIMELINE, 10);
  expect(
    found.map(({ code, channels, count, at }) => `${code} ${channels} ${count} ${at.bar}:${at.beat}`),
  ).toEqual(['no-program 1 1 1:2', 'controller-not-followed 1,10 3 2:1', 'controller-not-followed 3 2 2:3']);
  expect(found[1]!.text).toMatch(/^Channels 1, 10: /);
});

test('what concerns no channel stands alone, before what does', () => {
  const tally = new FindingTally();
  tally.add('reset-not-followed', 0, 0, 'A');
  tally.add('reset-not-followed', -1, 3, 'A');
  tally.add('reset-not-followed', 5, 2, 'A');
  const found = tally.findings(TIMELINE, 10);
  expect(found.map(({ channels, count }) => [channels, count])).toEqual([
    [[], 1],
    [[1, 6], 2],
  ]);
  expect(found[0]!.text).toMatch(/^[A-Z]/);
});
