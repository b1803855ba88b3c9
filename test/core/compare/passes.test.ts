import { describe, expect, test } from 'vitest';
import { heardFromChunks } from '../../../src/core/compare/hear.ts';
import { beginsAgain, notLongOver, overAt, passesOf } from '../../../src/core/compare/passes.ts';
import { type SongPlace, songPlaces } from '../../../src/core/compare/song-places.ts';
import { writtenMusic } from '../../../src/core/compare/written-music.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

const SECOND = 1_000_000;
const over = (...at: number[]) => at.map((overAt) => ({ overAt }) as SongPlace);

describe('the song is over', () => {
  test('where it is so at every place at which it may have begun', () => {
    expect([overAt(over(7)), overAt(over(7, 9)), overAt(over(0))]).toEqual([7, 7, 0]);
    expect([overAt(over(7, -1)), overAt(over(-1, 7)), overAt([])]).toEqual([-1, -1, -1]);
  });

  test('and not at one at which four notes and more came since', () => {
    const kept = notLongOver(over(-1, 0, 6, 7, 10), 10).map(({ overAt: at }) => at);
    expect(kept).toEqual([-1, 7, 10]);
  });
});

/** A note each second, of sixteen keys that come once; what is set a tenth before the first. */
const NOTES = Array.from({ length: 16 }, (_, n) => n);
const MESSAGES: TimedBytes[] = [
  [0, 0xc0, 5],
  ...NOTES.flatMap((n): TimedBytes[] => [
    [100_000 + n * SECOND, 0x90, 60 + n, 64],
    [600_000 + n * SECOND, 0x80, 60 + n, 64],
  ]),
];
/** A tick is a millisecond here. */
const timelineWith = (messages: readonly TimedBytes[]) =>
  ({
    columns: timelineOf(messages),
    ticksPerQuarter: 500,
    tempoMap: { stretches: [{ tick: 0, microsPerQuarter: 500_000 }] },
  }) as unknown as Timeline;
const TIMELINE = timelineWith(MESSAGES);
const WRITTEN = writtenMusic(TIMELINE);
const PLACES = songPlaces(TIMELINE, WRITTEN);
/** From the beginning of one time to that of the next. */
const LASTS = 17 * SECOND;

/** Some messages of the song, from a time on. */
const from = (start: number, messages: readonly TimedBytes[] = MESSAGES) =>
  messages.map(([at, ...bytes]) => ({ micros: start + at, bytes: Uint8Array.from(bytes) }));
const notes = (...some: number[]) => MESSAGES.filter(([, , key], row) => row > 0 && some.includes(key! - 60));

describe('the song begins again', () => {
  const again = (notesAgain: readonly number[], now: number) =>
    beginsAgain(
      PLACES,
      WRITTEN,
      heardFromChunks([...from(0), ...from(LASTS, notes(...notesAgain))]),
      16,
      now,
    );

  test('where what comes then is its beginning', () => {
    // Nothing is set up then: from when its first note was due on, less the 3 ms that a receiver may be off.
    expect(again([0, 1, 2], LASTS + 3 * SECOND)).toBe(LASTS - 3000);
    expect(again([0], LASTS + SECOND)).toBe(LASTS - 3000);
    expect(again([1, 2, 3], LASTS + 4 * SECOND)).toBeUndefined();
    // The second note of it is missing.
    expect(again([0, 2, 3], LASTS + 4 * SECOND)).toBeUndefined();
    expect(again([0], LASTS + 2 * SECOND)).toBeUndefined();
  });

  test('as far as 24 notes tell; what is wrong behind them is not asked', () => {
    const long = Array.from({ length: 40 }, (_, n): TimedBytes => [n * SECOND, 0x90, 40 + n, 64]);
    const timeline = timelineWith(long);
    const written = writtenMusic(timeline);
    const places = songPlaces(timeline, written);
    const lost = (note: number) => {
      const heard = heardFromChunks([...from(0, long), ...from(50 * SECOND, long.toSpliced(note, 1))]);
      return beginsAgain(places, written, heard, 40, 99 * SECOND);
    };
    // Whether the 25th came is seen by the one behind it.
    expect(lost(25)).toBeDefined();
    expect(lost(24)).toBeUndefined();
  });
});

describe('a player in a loop', () => {
  const passes = (chunks: ReturnType<typeof from>) =>
    passesOf(TIMELINE, { written: WRITTEN, places: PLACES }, heardFromChunks(chunks)).map(
      ({ on, beganMicros, lastMicros, state }) => [on.count, beganMicros, lastMicros, state.count],
    );
  const END = 15_600_000;

  test('each time is one, from when its first note is due to its last release', () => {
    const three = [...from(SECOND), ...from(SECOND + LASTS), ...from(SECOND + 2 * LASTS)];
    expect(passes(three)).toEqual([
      [16, SECOND, SECOND + END, 1],
      [16, SECOND + LASTS - 3000, SECOND + LASTS + END, 2],
      [16, SECOND + 2 * LASTS - 3000, SECOND + 2 * LASTS + END, 3],
    ]);
    expect(passes(from(SECOND))).toEqual([[16, SECOND, SECOND + END, 1]]);
  });

  test('a time in which a note did not come ends as well where the next begins', () => {
    const lost = from(SECOND).filter(({ bytes }) => bytes[1] !== 67);
    expect(passes([...lost, ...from(SECOND + LASTS), ...from(SECOND + 2 * LASTS)])).toEqual([
      [15, SECOND, SECOND + END, 1],
      [16, SECOND + LASTS - 3000, SECOND + LASTS + END, 2],
      [16, SECOND + 2 * LASTS - 3000, SECOND + 2 * LASTS + END, 3],
    ]);
  });

  test('fewer than four notes begin no other time', () => {
    const some = (count: number) =>
      passes([...from(0), ...from(LASTS, notes(...NOTES.slice(0, count)))]).map(([count]) => count);
    expect([some(3), some(4)]).toEqual([[19], [16, 4]]);
  });

  test('the last may be in its midst', () => {
    expect(passes([...from(0), ...from(LASTS).slice(0, 15)]).map(([count]) => count)).toEqual([16, 7]);
  });

  test('the first may have begun in its midst, and no other', () => {
    expect(passes([...from(0).slice(11), ...from(LASTS)]).map(([count]) => count)).toEqual([11, 16]);
    expect(
      passes([...from(0), ...from(LASTS).slice(11), ...from(2 * LASTS)]).map(([count]) => count),
    ).not.toContain(11);
  });

  test('without times it is one', () => {
    const heard = { ...heardFromChunks([...from(0), ...from(LASTS)]), hasTimes: false };
    const found = passesOf(TIMELINE, { written: WRITTEN, places: PLACES }, heard);
    expect([found.length, found[0] === heard]).toEqual([1, true]);
  });
});
