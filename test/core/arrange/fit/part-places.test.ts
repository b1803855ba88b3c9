import { describe, expect, test } from 'vitest';
import { heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { NO_SOUND, PartPlaces } from '../../../../src/core/arrange/fit/part-places.ts';
import type { PartStretch } from '../../../../src/core/arrange/fit/part-stretches.ts';
import { columnsOfText } from './rows-as-text.ts';

/** Rows 0 to 7: C, C, E on channel 1, C on channel 2, each on and off. */
const COLUMNS = columnsOfText(
  ...['10 90 3C 40', '20 80 3C 40', '30 90 3C 40', '40 80 3C 40'],
  ...['50 90 40 40', '60 80 40 40', '70 91 3C 40', '80 81 3C 40'],
);
const NOTES = heardNotes(COLUMNS, []);
const timeOf = (row: number) => COLUMNS.micros[row]!;

const stretch = (leader: number, startRow: number, endRow: number, ...notes: number[]): PartStretch => ({
  leader,
  sound: leader,
  startRow,
  endRow,
  notes,
});

function places(pauseMicros: number, ...placed: [channel: number, setUpAfter: number, PartStretch][]) {
  return new PartPlaces(
    NOTES,
    placed.map(([channel, setUpAfter, one]) => ({ channel, setUpAfter, stretch: one })),
    pauseMicros,
    timeOf,
    7,
  );
}

test('a place for each channel, in the order they are first given something; notes know theirs', () => {
  const of = places(
    0,
    [5, -1, stretch(0, 0, 1, 0)],
    [3, -1, stretch(1, 6, 7, 3)],
    [5, 1, stretch(0, 2, 5, 1)],
  );
  expect(of.all.map(({ channel, stretches }) => [channel, stretches.length])).toEqual([
    [5, 2],
    [3, 1],
  ]);
  expect([0, 1, 2, 3].map((note) => of.placeOf(note)?.channel)).toEqual([5, 5, undefined, 3]);
  expect(of.all[1]).toMatchObject({ next: 0, leader: 1, sound: NO_SOUND, like: 0, setUpTick: -1 });
  expect([...of.all[1]!.guestUntil]).toEqual(new Array(128).fill(0));
  // It begins with the bend range it is told: a channel that is to have another is sent one.
  const other = places(0, [5, -1, stretch(0, 0, 1, 0)]).all[0]!.settings;
  expect([...of.all[0]!.settings.messagesFrom(other)]).toEqual([]);
});

describe('the row before which a channel is set up', () => {
  const position = (pauseMillis: number, setUpAfter: number, startRow: number) =>
    places(pauseMillis * 1000, [0, setUpAfter, stretch(0, startRow, 7, 0)]).all[0]!.stretches[0]!.position;

  test('is that of the first note, or as much earlier as the pause asks for', () => {
    expect(position(0, -1, 4)).toBe(4);
    expect(position(9, -1, 4)).toBe(4);
    // A row at 40 is ten before 50: in time by itself, and too late by a millisecond more.
    expect(position(10, -1, 4)).toBe(4);
    expect(position(11, -1, 4)).toBe(3);
    expect(position(31, -1, 4)).toBe(1);
  });

  test('is not before the song, nor before the end of what plays there', () => {
    expect(position(1000, -1, 4)).toBe(0);
    expect(position(1000, 1, 4)).toBe(2);
    expect(position(1000, 3, 4)).toBe(4);
    expect(position(1000, 0, 4)).toBe(1);
  });
});

test('a key is taken while a note of the place itself sounds it', () => {
  const of = places(0, [0, -1, stretch(0, 0, 5, 0, 1, 2)], [1, -1, stretch(1, 6, 7, 3)]);
  // Notes 0 and 1: C from row 0 to 1 and from row 2 to 3. Row 1 is an end, and so is free.
  for (let from = 0; from < 8; from += 1) {
    for (let to = from; to < 9; to += 1) {
      const isTaken = [
        [0, 1],
        [2, 3],
      ].some(([on, end]) => on! < to && end! > from);
      expect(of.isKeyTaken(0, 60, from, to), `${from} to ${to}`).toBe(isTaken);
    }
  }
  expect(of.isKeyTaken(0, 64, 4, 5)).toBe(true);
  expect(of.isKeyTaken(0, 61, 0, 8)).toBe(false);
  expect([of.isKeyTaken(1, 60, 0, 7), of.isKeyTaken(1, 60, 0, 6)]).toEqual([true, false]);
  expect([of.isKeyTaken(0, 60, 6, 8), of.isKeyTaken(1, 64, 0, 8)]).toEqual([false, false]);
});
