import { describe, expect, test } from 'vitest';
import { heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { LEFT_OUT, OWN_END } from '../../../../src/core/arrange/fit/played-notes.ts';
import { withNoteEnds } from '../../../../src/core/arrange/fit/with-note-ends.ts';
import { columnsOfText, END, textOf } from './rows-as-text.ts';

/** @param ends of each note: row, or what it is instead */
function ended(
  lines: readonly string[],
  ends: readonly (number | 'own' | 'out')[],
  { writtenOut = [], early = false }: { writtenOut?: readonly number[]; early?: boolean } = {},
) {
  const columns = columnsOfText(...lines);
  const notes = heardNotes(columns, []);
  const endOf = Uint32Array.from(ends, (end) => (end === 'own' ? OWN_END : end === 'out' ? LEFT_OUT : end));
  const made = withNoteEnds(columns, END, notes, endOf, writtenOut, early);
  if (made === undefined) return undefined;
  const { columns: after, leftOut, shortened, flattenedChannels } = made;
  return { rows: textOf(after), leftOut, shortened, flattenedChannels };
}

const PAIR = ['0 90 3C 40', '0 90 40 40', '100/1 91 43 40', '200 80 3C 17', '300/1 81 43 40', '400 80 40 40'];

describe('notes with other ends', () => {
  test('nothing is made where all ends are their own', () => {
    expect(ended(PAIR, ['own', 'own', 'own'])).toBeUndefined();
    expect(ended(PAIR, ['own', 'own', 'own'], { writtenOut: [0, 1] })).toBeUndefined();
  });

  test('one that is left out goes with its note-off; one without a note-off alone', () => {
    expect(ended(PAIR, ['own', 'out', 'own'])).toEqual({
      rows: ['0 90 3C 40', '100/1 91 43 40', '200 80 3C 17', '300/1 81 43 40'],
      leftOut: [1],
      shortened: [],
      flattenedChannels: [],
    });
    expect(ended(['0 90 3C 40', '5 91 3C 40', '9 81 3C 40'], ['out', 'own'])).toMatchObject({
      rows: ['5 91 3C 40', '9 81 3C 40'],
      leftOut: [0],
    });
  });

  test('one that ends with another row has its note-off there, first of all tracks, its release as written', () => {
    expect(ended(PAIR, [2, 'own', 'own'])).toEqual({
      rows: ['0 90 3C 40', '0 90 40 40', '100 80 3C 17', '100/1 91 43 40', '300/1 81 43 40', '400 80 40 40'],
      leftOut: [],
      shortened: [0],
      flattenedChannels: [],
    });
    const swapped = ['0/1 90 3C 40', '100 91 43 40', '200/1 80 3C 40', '300 81 43 40'];
    expect(ended(swapped, [1, 'own'])!.rows).toEqual([
      '0/1 90 3C 40',
      '100 80 3C 40',
      '100 91 43 40',
      '300 81 43 40',
    ]);
  });

  test('or a tick before it, in its own track, where the note is longer than that', () => {
    const swapped = ['98/2 90 3C 40', '100/1 91 43 40', '200/2 80 3C 40', '300/1 81 43 40'];
    expect(ended(swapped, [1, 'own'], { early: true })!.rows).toEqual([
      '98/2 90 3C 40',
      '99/2 80 3C 40',
      '100/1 91 43 40',
      '300/1 81 43 40',
    ]);
    const short = ['99/2 90 3C 40', ...swapped.slice(1)];
    expect(ended(short, [1, 'own'], { early: true })!.rows).toEqual([
      '99/2 90 3C 40',
      '100 80 3C 40',
      '100/1 91 43 40',
      '300/1 81 43 40',
    ]);
  });

  test('a note-on of velocity 0 has no release of its own: 64 (MIDI 1.0, p. 10); nor has what nothing ended', () => {
    const quiet = ['0 90 3C 40', '100 91 43 40', '200 90 3C 00', '300 81 43 40'];
    expect(ended(quiet, [1, 'own'])!.rows).toEqual([
      '0 90 3C 40',
      '100 80 3C 40',
      '100 91 43 40',
      '300 81 43 40',
    ]);
    expect(ended(['0 90 3C 17', '100 91 43 40', '300 81 43 40'], [1, 'own'])).toMatchObject({
      rows: ['0 90 3C 17', '100 80 3C 40', '100 91 43 40', '300 81 43 40'],
      shortened: [0],
    });
  });

  test('ten milliseconds earlier is shortened in nobody’s ear, eleven are', () => {
    const by = (millis: number) =>
      ended(['0 90 3C 40', `${500 - millis} 91 43 40`, '500 80 3C 40'], [1, 'own'])!.shortened;
    expect([by(10), by(11)]).toEqual([[], [0]]);
    // To the end of the song, which is at 9000.
    const last = (at: number) => ended(['0 90 3C 40', `${at} 91 43 40`], [1, 'own'])!.shortened;
    expect([last(8990), last(8989)]).toEqual([[], [0]]);
  });
});

describe('pedals', () => {
  /** The damper of channel 1 holds C from 100 to 300; on channel 2 it is down as well. */
  const HELD = [
    '0 90 3C 40',
    '50 B0 40 7F',
    '60 B1 40 7F',
    '70 B0 43 7F',
    '100 80 3C 17',
    '200 90 40 40',
    '250 B0 40 00',
    '300 80 40 40',
  ];

  test('are written out where a note of their channel is shortened: what sounds is as long as it sounded', () => {
    const { rows, shortened, flattenedChannels } = ended(HELD, [5, 'own'])!;
    expect(rows).toEqual([
      '0 90 3C 40',
      '60 B1 40 7F',
      '70 B0 43 7F',
      '200 80 3C 17',
      '200 90 40 40',
      '300 80 40 40',
    ]);
    expect([shortened, flattenedChannels]).toEqual([[0], [0]]);
  });

  test('not where one is left out, nor those of another channel', () => {
    const { rows, flattenedChannels } = ended(HELD, ['own', 'out'])!;
    expect(rows).toEqual(HELD.slice(0, 5).concat('250 B0 40 00'));
    expect(flattenedChannels).toEqual([]);
    const other = [...HELD, '400 92 3C 40', '500 93 3C 40', '600 82 3C 40', '600 83 3C 40'];
    expect(ended(other, ['own', 'own', 9, 'own'])!.flattenedChannels).toEqual([]);
  });

  test('of a channel that is named they go, and its notes are written as long as they sound', () => {
    expect(ended(HELD, ['own', 'own'], { writtenOut: [0] })).toEqual({
      rows: ['0 90 3C 40', '60 B1 40 7F', '70 B0 43 7F', '200 90 40 40', '250 80 3C 17', '300 80 40 40'],
      leftOut: [],
      shortened: [],
      flattenedChannels: [0],
    });
    expect(ended(HELD, [5, 'own'], { writtenOut: [0] })!.flattenedChannels).toEqual([0]);
    // What nothing ends is ended at the end.
    expect(ended(['0 B0 40 7F', '1 90 3C 40', '2 80 3C 40'], ['own'], { writtenOut: [0] })!.rows).toEqual([
      '1 90 3C 40',
      '9000 80 3C 40',
    ]);
  });
});

describe('a key that is struck again', () => {
  const AGAIN = ['0 90 3C 40', '100 90 3C 41', '200 80 3C 01', '300 80 3C 02'];

  test('where the second strike is left out the first ends there as it did', () => {
    // First struck is first let go: the second's note-off is the one at 300.
    expect(ended(AGAIN, ['own', 'out'])).toMatchObject({
      rows: ['0 90 3C 40', '100 80 3C 01'],
      leftOut: [1],
      shortened: [],
    });
  });

  test('where both stay nothing is changed', () => {
    expect(ended(AGAIN, ['own', 'own'])).toBeUndefined();
  });
});
