import { expect, test } from 'vitest';
import { barLosses } from '../../../../src/core/arrange/fit/bar-losses.ts';
import type { SeatFit } from '../../../../src/core/arrange/fit/fit-seat.ts';
import { heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { heardValue } from '../../../../src/core/arrange/fit/heard-value.ts';
import { lossOf } from '../../../../src/core/arrange/fit/loss-of.ts';
import type { NoteWeights } from '../../../../src/core/arrange/fit/note-weights.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { songBytes } from '../../../support/song-bytes.ts';
import { timelineOf } from '../../../support/timeline-of.ts';

const S = 1_000_000;

test('of what is heard the strike counts like 0.15 s, then it dies away', () => {
  expect(heardValue(0, 1, 2)).toBe(0);
  expect(heardValue(1, 1, 2)).toBeCloseTo(0.15 + 2 * (1 - Math.exp(-0.5)), 12);
  // Cut within 0.05 s it was hardly struck.
  expect(heardValue(0.025, 1, 2)).toBeCloseTo(0.075 + 2 * (1 - Math.exp(-0.0125)), 12);
  expect(heardValue(0.05, 1, 2)).toBeCloseTo(0.15 + 2 * (1 - Math.exp(-0.025)), 12);
  // One that is shorter by itself is struck whole.
  expect(heardValue(0.01, 0.01, 2)).toBeCloseTo(0.15 + 2 * (1 - Math.exp(-0.005)), 12);
});

test('the share that is lost, by weight', () => {
  const columns = timelineOf([
    [0, 0x90, 60, 100],
    [0, 0x90, 64, 100],
    [2 * S, 0x80, 60, 64],
    [2 * S, 0x80, 64, 64],
    [3 * S, 0x90, 67, 100],
  ]);
  const notes = heardNotes(columns, []);
  const weights = {
    weight: Float64Array.of(1, 3, 0),
    decay: Float64Array.of(2, 2, 2),
  } as unknown as NoteWeights;
  const loss = (...until: number[]) =>
    lossOf(
      columns,
      5 * S,
      notes,
      weights,
      Float64Array.from(until, (each) => each * S),
    );
  expect(loss(2, 2, 5)).toBe(0);
  expect(loss(9, 9, 9)).toBe(0);
  expect(loss(0, 2, 5)).toBeCloseTo(1 / 4, 12);
  expect(loss(2, 0, 5)).toBeCloseTo(3 / 4, 12);
  expect(loss(0, 0, 5)).toBe(1);
  const half = 1 - heardValue(1, 2, 2) / heardValue(2, 2, 2);
  expect(loss(1, 2, 3)).toBeCloseTo(half / 4, 12);
  // The last sounds to the song's end.
  const last = {
    weight: Float64Array.of(0, 0, 1),
    decay: Float64Array.of(2, 2, 2),
  } as unknown as NoteWeights;
  const toTheEnd = lossOf(columns, 5 * S, notes, last, Float64Array.of(0, 0, 4 * S));
  expect(toTheEnd).toBeCloseTo(half, 12);
  const none = {
    weight: Float64Array.of(0, 0, 0),
    decay: Float64Array.of(2, 2, 2),
  } as unknown as NoteWeights;
  expect(lossOf(columns, 5 * S, notes, none, Float64Array.of(0, 0, 0))).toBe(0);
});

test('the same by bars: of all instruments together, in hundredths of a percent', () => {
  // Two bars of four quarters (96 ticks each) and a note at the beginning of each half.
  const song = readSong(
    songBytes([
      [0, 192, 384, 576].flatMap(
        (_, n) =>
          [
            [n === 0 ? 0 : 96, [0x90, 60, 90]],
            [96, [0x80, 60, 64]],
          ] as [number, number[]][],
      ),
    ]),
  );
  const timeline = buildTimeline(song);
  const seat = (worth: number[], was: number[], is: number[]) =>
    ({
      written: timeline.columns,
      judge: { notes: heardNotes(timeline.columns, []), worth },
      before: { lost: was },
      after: { lost: is },
    }) as unknown as SeatFit;
  expect(
    barLosses(timeline, [
      seat([1, 2, 3, 3], [0, 1, 0, 0], [0, 0.5, 0, 0]),
      seat([3, 0, 0, 0], [0, 0, 0, 0], [0.001, 0, 0, 0]),
    ]),
  ).toEqual([{ bar: 1, before: 16.67, after: 8.35 }]);
  expect(barLosses(timeline, [seat([1, 1, 2, 2], [0, 0, 0, 0], [0, 0, 0, 2])])).toEqual([
    { bar: 2, before: 0, after: 50 },
  ]);
  expect(barLosses(timeline, [seat([1, 1, 2, 2], [0, 0, 0, 0], [0, 0, 0, 0])])).toEqual([]);
});
