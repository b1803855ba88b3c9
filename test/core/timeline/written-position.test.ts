import { expect, test } from 'vitest';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { writtenPosition } from '../../../src/core/timeline/written-position.ts';
import { end, meter, songOf, tempo, text } from './song-of.ts';

// 4/4 at 120 a minute, a bar of 2 s; from bar 3 on 3/4 at 60 a minute, a bar of 3 s. Ends at 2400 s.
const TIMELINE = buildTimeline(
  songOf({
    tracks: [
      [
        text(0, 6, ' Intro'),
        text(96, 6, 'In the middle'),
        tempo(768, 1_000_000),
        meter(768, 3, 2),
        text(768, 6, 'Ω'),
        end(768 + 2396 * 96),
      ],
    ],
  }),
);
const END = 2_400_000_000;
const S = 1_000_000;

test.each([
  // Bars and beats count from 1; behind the end there is the end.
  ['1', 0],
  ['0', 0],
  ['2', 2 * S],
  ['2:3', 3 * S],
  ['1:0', 0],
  ['3', 4 * S],
  ['4:2', 8 * S],
  ['999999', END],
  ['2:999', 3.5 * S], // no fifth beat: the last
  // Times.
  ['90s', 90 * S],
  ['1m30s', 90 * S],
  ['1m30.5s', 90.5 * S],
  ['2m', 120 * S],
  ['0.000001s', 1],
  ['0s', 0],
  ['9999m', END],
  ['2400.000001s', END],
  // Markers by their beginning, the first that fits.
  ['intro', 0],
  ['IN', 0],
  [' in t ', 0.5 * S],
  ['ω', 4 * S],
  // Nothing of these.
  ['', undefined],
  [' ', undefined],
  ['outro', undefined],
  ['1:2:3', undefined],
  ['1234567', undefined],
  ['1:1234', undefined],
  ['30', (4 + 27 * 3) * S], // a bar, not seconds
  ['-1', undefined],
  ['1m30', undefined],
  ['m', undefined],
] as const)('`%s`', (written, micros) => {
  expect(writtenPosition(written, TIMELINE)).toBe(micros);
});
