import { describe, expect, test } from 'vitest';
import { columnsOfChannels } from '../../../../src/core/arrange/columns-of-channels.ts';
import type { SeatFit } from '../../../../src/core/arrange/fit/fit-seat.ts';
import { NEW_ROW, RowEdits } from '../../../../src/core/arrange/fit/row-edits.ts';
import { seatsTogether } from '../../../../src/core/arrange/fit/seats-together.ts';
import { NO_PARTNER, type TimelineColumns } from '../../../../src/core/timeline/timeline.ts';
import { columnsOfText, END, textOf } from './rows-as-text.ts';

/** What goes to some channels, and what was made of it. */
function seat(
  song: TimelineColumns,
  channels: readonly number[],
  edit: (edits: RowEdits, written: TimelineColumns) => void = () => {},
): SeatFit {
  const { columns: written, rowOf } = columnsOfChannels(song, channels);
  const edits = new RowEdits(written);
  edit(edits, written);
  const origin = Uint32Array.from({ length: written.count }, (_, row) => row);
  const fitted = edits.isEmpty ? { columns: written, origin } : edits.made(END);
  return { written, rowOf, fitted } as unknown as SeatFit;
}

const ON = 'F0 7E 7F 09 01 F7';
const SONG = columnsOfText(
  `0 ${ON}`,
  ...['0 90 3C 40', '0 91 3C 40', '0/1 92 3C 40', '5 95 3C 40', '9 80 3C 40', '9 81 3C 40', '9/1 82 3C 40'],
);

describe('a song again, of what several instruments get', () => {
  test('the song itself where nothing was changed, or what was is as it was', () => {
    expect(seatsTogether(SONG, [seat(SONG, [0]), seat(SONG, [1, 2])])).toBe(SONG);
    // One left the reset out, the other kept it.
    expect(seatsTogether(SONG, [seat(SONG, [0], (edits) => edits.drop(0)), seat(SONG, [1])])).toBe(SONG);
  });

  test('of one instrument that has it all what it has', () => {
    const all = [0, 1, 2, 5];
    const one = seat(SONG, all, (edits) => edits.drop(1));
    expect(one.written).toBe(SONG);
    expect(seatsTogether(SONG, [one])).toBe(one.fitted.columns);
  });

  test('rows stand by tick, by track and as written; what goes to nobody stays; notes are paired anew', () => {
    const low = (edits: RowEdits, written: TimelineColumns) => {
      for (let row = 0; row < written.count; row += 1) {
        if (written.status[row]! < 0xf0) edits.put(row, written.status[row]!, 48, 0x40);
      }
    };
    const together = seatsTogether(SONG, [seat(SONG, [2], low), seat(SONG, [0])]);
    expect(textOf(together)).toEqual([
      `0 ${ON}`,
      ...[
        '0 90 3C 40',
        '0 91 3C 40',
        '0/1 92 30 40',
        '5 95 3C 40',
        '9 80 3C 40',
        '9 81 3C 40',
        '9/1 82 30 40',
      ],
    ]);
    expect(Array.from(together.partner)).toEqual([NO_PARTNER, 5, 6, 7, NO_PARTNER, 1, 2, 3]);
  });

  test('new rows stand before the row of their moment they were put before, or last of their moment', () => {
    const put = (edits: RowEdits, written: TimelineColumns) => {
      edits.addBefore(1, 0xc1, 7, 0, 0);
      edits.addBefore(1, 0xc1, 8, 0, 0);
      edits.addAfter(written.count - 1, 0xc1, 9, 0, 0);
      edits.addAt(7, 3, 0xc1, 10, 0, 2);
      edits.addAt(-1, 3, 0xc1, 11, 0, 0);
    };
    expect(textOf(seatsTogether(SONG, [seat(SONG, [0]), seat(SONG, [1], put)]))).toEqual([
      `0 ${ON}`,
      '0 90 3C 40',
      '0 C1 07',
      '0 C1 08',
      '0 91 3C 40',
      '0/1 92 3C 40',
      '5 95 3C 40',
      '7/2 C1 0A',
      '9 80 3C 40',
      '9 81 3C 40',
      '9 C1 09',
      '9/1 82 3C 40',
      '9000 C1 0B',
    ]);
  });

  test('of new rows before one row those of the first instrument come first, and the row behind all of them', () => {
    const song = columnsOfText(`0 ${ON}`, '0 90 3C 40', '0 91 3C 40');
    const put = (program: number) => (edits: RowEdits) => edits.addBefore(0, 0xc0 | program, program, 0, 0);
    expect(textOf(seatsTogether(song, [seat(song, [0], put(0)), seat(song, [1], put(1))]))).toEqual([
      '0 C0 00',
      '0 C1 01',
      `0 ${ON}`,
      '0 90 3C 40',
      '0 91 3C 40',
    ]);
  });
});

describe('a system message', () => {
  const two = columnsOfText(`0 ${ON}`, '1 90 3C 40', '1 91 3C 40', `2 ${ON}`, '3 F0 7D 05 F7', '4 80 3C 40');
  const change = (edits: RowEdits) => edits.putSysExByte(0, 3, 3);

  test('comes once, left out where nobody keeps it, and exchanged where one has exchanged it', () => {
    const drop = (edits: RowEdits) => edits.drop(0);
    const rest = ['1 90 3C 40', '1 91 3C 40', `2 ${ON}`, '3 F0 7D 05 F7', '4 80 3C 40'];
    expect(textOf(seatsTogether(two, [seat(two, [0], drop), seat(two, [1], drop)]))).toEqual(rest);
    const exchanged = ['0 F0 7E 7F 09 03 F7', ...rest];
    expect(textOf(seatsTogether(two, [seat(two, [0], change), seat(two, [1])]))).toEqual(exchanged);
    expect(textOf(seatsTogether(two, [seat(two, [0]), seat(two, [1], change)]))).toEqual(exchanged);
    expect(textOf(seatsTogether(two, [seat(two, [0], change), seat(two, [1], drop)]))).toEqual(exchanged);
    // The song's own bytes stay.
    expect(textOf(two)[0]).toBe(`0 ${ON}`);
    expect(two.status.length).toBe(6);
  });

  test('new rows beside it do not make it come twice', () => {
    const put = (edits: RowEdits) => {
      edits.addBefore(0, 0xc0, 1, 0, 0);
      edits.addAfter(0, 0xc0, 2, 0, 0);
    };
    const rows = textOf(seatsTogether(two, [seat(two, [1]), seat(two, [0], put)]));
    expect(rows.slice(0, 4)).toEqual(['0 C0 01', `0 ${ON}`, '0 C0 02', '1 90 3C 40']);
    expect(rows.filter((row) => row.includes('F0'))).toHaveLength(3);
  });
});

test('a new row alone in its tick and track is nobody’s neighbour', () => {
  const song = columnsOfText('0 90 3C 40', '5 91 3C 40', '5/1 90 40 40');
  const put = (edits: RowEdits) => edits.addAt(5, 1, 0xc0, 1, 0, 0);
  const made = seat(song, [0], put);
  expect(made.fitted.origin[1]).toBe(NEW_ROW);
  expect(textOf(seatsTogether(song, [made, seat(song, [1])]))).toEqual([
    '0 90 3C 40',
    '5 91 3C 40',
    '5 C0 01',
    '5/1 90 40 40',
  ]);
});
