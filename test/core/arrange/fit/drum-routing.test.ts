import { describe, expect, test } from 'vitest';
import { DrumRouting, drumPlaces } from '../../../../src/core/arrange/fit/drum-routing.ts';
import { heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { ChannelMoves } from '../../../../src/core/arrange/fit/moves.ts';
import { isNoteOn } from '../../../../src/core/timeline/note-row.ts';
import { columnsOfText, edited } from './rows-as-text.ts';

function places(song: number[], own: number[], played: number[]) {
  const lines = played.map((channel) => `0 9${channel.toString(16)} 24 40`);
  const { to, leaders } = drumPlaces(heardNotes(columnsOfText(...lines), song), song, own);
  return { to: [...to], leaders: [...leaders] };
}

describe('where drums go', () => {
  test('they stay where the instrument hears drums', () => {
    expect(places([9, 10], [9, 10], [9, 10])).toEqual({
      to: [
        [9, 9],
        [10, 10],
      ],
      leaders: [
        [9, 9],
        [10, 10],
      ],
    });
  });

  test('else to a free drum channel, else along with the first', () => {
    expect(places([9, 10], [4, 10], [9, 10]).to).toEqual([
      [10, 10],
      [9, 4],
    ]);
    expect(places([9, 10], [9], [9, 10])).toEqual({
      to: [
        [9, 9],
        [10, 9],
      ],
      leaders: [[9, 9]],
    });
    expect(places([8, 9, 10], [2, 3], [8, 9, 10])).toEqual({
      to: [
        [8, 2],
        [9, 3],
        [10, 2],
      ],
      leaders: [
        [2, 8],
        [3, 9],
      ],
    });
  });

  test('one without a note takes nobody’s place; where there are no drums all stay', () => {
    expect(places([9, 10], [9], [10])).toEqual({
      to: [
        [10, 9],
        [9, 9],
      ],
      leaders: [[9, 10]],
    });
    expect(places([9, 10], [], [9, 10]).to).toEqual([
      [9, 9],
      [10, 10],
    ]);
  });
});

describe('drums on their way', () => {
  /** Drums of channels 10 and 11, played on `own`. */
  function routed(own: number[], lines: readonly string[], hasKits = false) {
    const moves = new ChannelMoves();
    const { fit, rows } = edited(lines, (columns, edits) => {
      const where = drumPlaces(heardNotes(columns, [9, 10]), [9, 10], own);
      const drums = new DrumRouting(columns, edits, where, hasKits, moves);
      for (let row = 0; row < columns.count; row += 1) {
        if (drums.takes(columns.status[row]! & 15)) drums.row(row, isNoteOn(columns, row));
      }
      return { keyTaken: drums.keyTaken, otherKit: drums.otherKit };
    });
    return { ...fit, rows, moves: moves.all() };
  }

  test('a channel that moves alone takes all it has along; others are not touched', () => {
    const { rows, moves, otherKit } = routed(
      [3],
      ['0 C9 08', '1 B9 07 50', '2 99 24 40', '3 89 24 40', '4 93 3C 40', '5 E9 00 41'],
      true,
    );
    expect(rows).toEqual(['0 C3 08', '1 B3 07 50', '2 93 24 40', '3 83 24 40', '4 93 3C 40', '5 E3 00 41']);
    expect(moves).toEqual([{ from: 9, to: 3, why: 'drums', notes: 1 }]);
    expect(otherKit).toEqual([]);
  });

  test('a guest brings its strokes alone, as loud as they were: the other’s settings stay', () => {
    // 9 has volume 100 and expression 127 by itself (GM1), 10 half the volume and twice nothing.
    const loud = (strike: string, ...before: string[]) =>
      routed([9], ['0 99 24 40', ...before, `5 9A 26 ${strike}`, '6 8A 26 17']).rows.find((row) =>
        row.startsWith('5 '),
      );
    expect(loud('40', '1 BA 07 32')).toBe('5 99 26 20');
    expect(loud('40', '1 B9 07 32')).toBe('5 99 26 7F');
    expect(loud('02', '1 BA 07 01')).toBe('5 99 26 01');
    expect(loud('40', '1 B9 0B 7F', '2 BA 0B 40')).toBe('5 99 26 20');
    const { rows, moves } = routed([9], ['0 CA 08', '1 99 24 40', '2 9A 26 40', '3 9A 26 00', '4 BA 01 01']);
    expect(rows).toEqual(['1 99 24 40', '2 99 26 40', '3 99 26 00']);
    expect(moves).toEqual([{ from: 10, to: 9, why: 'drums', notes: 1 }]);
  });

  test('of two strokes on one key the guest’s gives way, with its note-off', () => {
    const { rows, keyTaken, moves } = routed(
      [9],
      ['0 99 24 40', '1 9A 24 50', '2 89 24 40', '3 8A 24 40', '4 9A 24 50', '5 8A 24 40'],
    );
    expect(rows).toEqual(['0 99 24 40', '2 89 24 40', '4 99 24 50', '5 89 24 40']);
    expect([keyTaken, moves[0]!.notes]).toEqual([[1], 1]);
    // The guest's was first.
    expect(routed([9], ['0 9A 24 50', '1 99 24 40', '2 89 24 40', '3 8A 24 40']).keyTaken).toEqual([0]);
    // What never ends is not known to clash.
    expect(routed([9], ['0 99 24 40', '1 9A 24 50']).keyTaken).toEqual([]);
    // Channels of their own: none gives way.
    expect(routed([9, 10], ['0 99 24 40', '1 9A 24 50', '2 89 24 40', '3 8A 24 40']).keyTaken).toEqual([]);
  });

  test('a guest’s strokes have another kit where the other has one, and the instrument has several', () => {
    const song = [
      '0 C9 08',
      '1 99 24 40',
      '2 9A 26 40',
      '3 CA 08',
      '4 9A 26 40',
      '5 C9 00',
      '6 9A 26 40',
      '7 9A 26 00',
    ];
    expect(routed([9], song, true).otherKit).toEqual([2, 6]);
    expect(routed([9], song, false).otherKit).toEqual([]);
    // Alone on a channel it has its own.
    expect(routed([3, 4], song, true).otherKit).toEqual([]);
  });
});
