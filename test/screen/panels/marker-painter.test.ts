import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { paintMarkers } from '../../../src/screen/panels/marker-painter.ts';
import { painted, sceneWith } from '../../support/scene.ts';
import { screenSong } from '../../support/screen-song.ts';
import { type DeltaEvent, meta, songBytes } from '../../support/song-bytes.ts';

const BAR = 384;
const BAR_MICROS = 2_000_000;
const NAMES = ['A', 'Verse 2', '12', 'dance 128', 'Long Way Home and Back', 'B 17a', 'to 3.5', ''] as const;

interface Line {
  readonly bars: number;
  readonly markers: readonly { readonly bar: number; readonly name: string }[];
  /** First and last bar of the loop. */
  readonly loop: readonly [number, number];
  readonly width: number;
}

/** The marker line of a song in 4/4 at 120 beats a minute. */
function lineOf({ bars, markers, loop: [first, last], width }: Line): string {
  let before = 1;
  const events = markers.map(({ bar, name }): DeltaEvent => {
    const delta = (bar - before) * BAR;
    before = bar;
    return [delta, meta(0x06, [...Buffer.from(name)])];
  });
  const end: DeltaEvent[] = [
    [(bars + 1 - before) * BAR - 1, [0x90, 60, 1]],
    [1, [0x80, 60, 0]],
  ];
  const timeline = buildTimeline(readSong(songBytes([[...events, ...end]])));
  const observed = createObservedState();
  observed.numbers[Slot.loopFromMicros] = (first - 1) * BAR_MICROS;
  observed.numbers[Slot.loopToMicros] = last * BAR_MICROS;
  const song = { ...screenSong(), timeline, durationMicros: timeline.durationMicros };
  const scene = sceneWith({ observed, song });
  return painted(width, 1, (grid, area) => paintMarkers(grid, area, scene)).lines[0]!;
}

const anyLine = (bars: number, markersAtMost: number): fc.Arbitrary<Line> =>
  fc.record({
    bars: fc.constant(bars),
    markers: fc
      .array(fc.record({ bar: fc.integer({ min: 1, max: bars }), name: fc.constantFrom(...NAMES) }), {
        maxLength: markersAtMost,
      })
      .map((markers) => markers.toSorted((a, b) => a.bar - b.bar)),
    loop: fc
      .tuple(fc.integer({ min: 1, max: bars }), fc.integer({ min: 1, max: bars }))
      .map(([a, b]) => [Math.min(a, b), Math.max(a, b)] as const),
    width: fc.integer({ min: 40, max: 200 }),
  });

const anySong = fc.integer({ min: 1, max: 1_200 });

function labelOf([first, last]: Line['loop']): string {
  return ` ${first}-${last} `;
}

/** What of the line is text: between the loop's bars and signs, each marker's sign and the rests. */
function textsIn(line: string, loop: Line['loop']): string[] {
  const label = labelOf(loop);
  expect(line.padEnd(label.length).startsWith(label)).toBe(true);
  return line
    .slice(label.length)
    .split(/[⟦⟧─▾]/)
    .map((each) => each.trim())
    .filter((each) => each !== '');
}

describe('the loop and what else stands below the position bar', () => {
  test('a name is whole or ends in an ellipsis, never in its numbers; both ends of the loop are seen', () => {
    fc.assert(
      fc.property(
        anySong.chain((bars) => anyLine(bars, 12)),
        (given) => {
          fc.pre(given.markers.length > 0);
          const line = lineOf(given);
          expect(line.match(/[⟦⟧]/g), line).toEqual(['⟦', '⟧']);
          const names = given.markers.map(({ name }) => name);
          for (const text of textsIn(line, given.loop)) {
            const head = text.replace(/…$/, '');
            const of = names.filter((name) => (head === text ? name === text : name.startsWith(head)));
            const isWhole = of.some((name) => !/^[\d.]/.test(name.slice(head.length)) || !/\d$/.test(head));
            expect(isWhole, `${text} in\n${line}`).toBe(true);
          }
        },
      ),
    );
  });

  test('a bar number is whole or not there; both ends of the loop are seen', () => {
    fc.assert(
      fc.property(
        anySong.chain((bars) => anyLine(bars, 0)),
        (given) => {
          const line = lineOf(given);
          expect(line.match(/[⟦⟧]/g), line).toEqual(['⟦', '⟧']);
          const shown = [...line.matchAll(/\d+/g)].filter(({ index }) => index >= labelOf(given.loop).length);
          // A number that is the head of another stands far from its own place.
          const width = given.width - 14;
          for (const { 0: digits, index } of shown) {
            const bar = Number(digits);
            const own = 7 + Math.floor(((bar - 1) * width) / given.bars);
            expect(bar, line).toBeLessThanOrEqual(given.bars);
            expect(index - own, `${digits} in\n${line}`).toBeGreaterThanOrEqual(-1);
            expect(index - own, `${digits} in\n${line}`).toBeLessThanOrEqual(6);
          }
        },
      ),
    );
  });

  test.each([
    // A loop from one marker to the bar before the next, as loops mostly are.
    [80, 9, 16, 'dance', ' 9-16  ▾Intro          ⟦▾dance ────────⟧▾Coda'],
    [80, 9, 9, 'dance', ' 9-9   ▾Intro          ⟦─⟧▾dance'],
  ])('at %i columns bars %i to %i', (width, first, last, name, shows) => {
    const markers = [
      { bar: 1, name: 'Intro' },
      { bar: 9, name },
      { bar: 17, name: 'Coda' },
    ];
    expect(lineOf({ bars: 32, markers, loop: [first, last], width })).toContain(shows);
  });
});
