import { expect, test } from 'vitest';
import { SongParts, songPart } from '../../../src/core/compare/song-part.ts';
import { NO_PARTNER, type Timeline } from '../../../src/core/timeline/timeline.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

const timelineWith = (messages: readonly TimedBytes[]) =>
  ({ columns: timelineOf(messages), durationMicros: 99 }) as Timeline;

/** Messages of a part, and of each the place of its partner, undefined for none. */
function rows({ columns }: Timeline) {
  return Array.from({ length: columns.count }, (_, row) => [
    columns.micros[row]!,
    columns.status[row]!,
    columns.data1[row]!,
    columns.data2[row]!,
    columns.partner[row] === NO_PARTNER ? undefined : columns.partner[row],
  ]);
}

const NOTES: TimedBytes[] = [
  [10, 0x90, 60, 64],
  [20, 0x80, 60, 64],
  [30, 0x90, 61, 64],
  [40, 0x90, 62, 64],
  [50, 0x90, 61, 0],
  [60, 0x80, 62, 64],
  [70, 0x90, 63, 64],
];

test('from one time to another, both included, with the releases of what began in it', () => {
  const song = timelineWith(NOTES);
  expect(rows(songPart(song, 30, 60))).toEqual([
    [30, 0x90, 61, 64, 2],
    [40, 0x90, 62, 64, 3],
    [50, 0x90, 61, 0, 0],
    [60, 0x80, 62, 64, 1],
  ]);
  expect(rows(songPart(song, 31, 60))).toEqual([
    [40, 0x90, 62, 64, 1],
    [60, 0x80, 62, 64, 0],
  ]);
  expect(rows(songPart(song, 30, 59))).toEqual([
    [30, 0x90, 61, 64, 2],
    [40, 0x90, 62, 64, undefined],
    [50, 0x90, 61, 0, 0],
  ]);
  expect(rows(songPart(song, 0, 99))).toEqual(rows(song));
  expect(rows(songPart(song, 71, 99))).toEqual([]);
  expect(rows(songPart(song, 60, 30))).toEqual([]);
  expect(songPart(song, 30, 60).durationMicros).toBe(99);
});

test('a release behind an earlier time is not in it', () => {
  const song = timelineWith(NOTES);
  expect(rows(songPart(song, 30, 70, 50))).toEqual([
    [30, 0x90, 61, 64, 2],
    [40, 0x90, 62, 64, undefined],
    [50, 0x90, 61, 0, 0],
    [70, 0x90, 63, 64, undefined],
  ]);
  expect(rows(songPart(song, 30, 70, 49)).map(([at]) => at)).toEqual([30, 40, 70]);
});

test('nor one that ends nothing', () => {
  const song = timelineWith([
    [10, 0x90, 60, 64],
    [20, 0x80, 99, 64],
    [30, 0x80, 60, 64],
  ]);
  expect(rows(songPart(song, 0, 99)).map(([at]) => at)).toEqual([10, 30]);
});

test('what was set last before it is set in it, each channel, controller and key by itself', () => {
  const song = timelineWith([
    [1, 0xb0, 7, 1],
    [2, 0xb0, 7, 2],
    [3, 0xb0, 10, 3],
    [4, 0xb1, 7, 4],
    [4, 0xb1, 8, 4],
    [4, 0xa1, 60, 4],
    [4, 0xa1, 61, 4],
    [5, 0xc0, 5],
    [6, 0xc0, 6],
    [7, 0xe0, 7, 1],
    [8, 0xe0, 8, 2],
    [9, 0xa0, 60, 9],
    [10, 0xa0, 61, 10],
    [11, 0xa0, 61, 11],
    [12, 0xd0, 12],
    [13, 0xd0, 13],
    [14, 0xf0, 0x7d, 0xf7],
    [15, 0x90, 60, 64],
    [16, 0x80, 60, 64],
    [20, 0xb0, 7, 20],
    [21, 0x90, 60, 64],
  ]);
  const parts = new SongParts(song);
  const times = (from: number, to: number) => rows(parts.part(from, to)).map(([at]) => at);
  const before = [2, 3, 4, 4, 4, 4, 6, 8, 9, 11, 13];
  expect(times(17, 30)).toEqual([...before, 20, 21]);
  expect(rows(parts.part(17, 30))[0]).toEqual([2, 0xb0, 7, 2, undefined]);
  // What is behind its beginning is in it once, and of what was set the last.
  expect(times(21, 30)).toEqual([3, 4, 4, 4, 4, 6, 8, 9, 11, 13, 20, 21]);
  // An earlier one again.
  expect(times(4, 5)).toEqual([2, 3, 4, 4, 4, 4, 5]);
  expect(times(17, 17)).toEqual(before);
  expect(times(2, 2)).toEqual([1, 2]);
});

test('behind what is set in it pairs hold', () => {
  const song = timelineWith([[0, 0xc0, 5], ...NOTES]);
  expect(rows(songPart(song, 30, 50))).toEqual([
    [0, 0xc0, 5, 0, undefined],
    [30, 0x90, 61, 64, 3],
    [40, 0x90, 62, 64, undefined],
    [50, 0x90, 61, 0, 1],
  ]);
});
