import { describe, expect, test } from 'vitest';
import { CODE, codeTable, TABLE_CODES } from '../../../../src/core/export/stream/code-table.ts';
import { codingOf } from '../../../../src/core/export/stream/coding.ts';
import { nextTable, plainTable } from '../../../../src/core/export/stream/next-table.ts';
import { SongSymbol } from '../../../../src/core/export/stream/song-symbol.ts';
import { GrowingParts } from '../../../../src/core/export/stream/stream-parts.ts';

const wait = (steps: number) => SongSymbol.wait + steps;
const pair = (index: number) => SongSymbol.pair + index;
const times = <Of>(count: number, ...all: readonly Of[]) => Array.from({ length: count }, () => all).flat();
const plain = (...symbols: number[]) => plainTable(Int32Array.from(symbols));
const EMPTY = codeTable([], [], []);

/** What parts leave standing; −1 is a reference. */
function next(symbols: readonly number[], table = EMPTY, most = 9) {
  const coding = codingOf(table);
  // Room for more, as there is while a song is packed.
  const parts = new GrowingParts(symbols.length + 2);
  for (const symbol of symbols)
    if (symbol < 0) parts.reference(0, 1);
    else if (symbol >= SongSymbol.pair && symbol < SongSymbol.end) parts.phrase(coding.phraseOf(symbol));
    else parts.literal(symbol, coding.bytesOf(symbol));
  const { waits, statuses, pairs } = nextTable(table, parts, most);
  return { waits, statuses, pairs };
}

describe('the table without pairs', () => {
  test('what is there twice saves a byte with a code, and what is there once none: its byte of table', () => {
    const table = plain(0x90, 60, 60, wait(7), 0x91, wait(3), 0x90, wait(3), 0xff, 0xff, SongSymbol.end);
    expect(table).toEqual(codeTable([3], [0x90, 0xff], []));
    expect(plain(SongSymbol.end, SongSymbol.end, 0x7f, 0x7f)).toEqual(EMPTY);
    expect(plain(0x80, 0x80)).toEqual(codeTable([], [0x80], []));
  });

  test('waits by how often, and of equal ones the shorter first; status bytes by number', () => {
    const { waits, statuses } = plain(
      ...times(2, wait(9), wait(4), 0xf8, 0x80),
      ...times(3, wait(200), 0xb0),
    );
    expect([waits, statuses]).toEqual([
      [200, 4, 9],
      [0x80, 0xb0, 0xf8],
    ]);
  });

  test('where there are more than codes, those that are there most', () => {
    const rare = Array.from({ length: 20 }, (_, n) => wait(n + 1));
    const often = Array.from({ length: TABLE_CODES - 5 }, (_, n) => wait(n + 100));
    const { waits } = plain(...times(2, ...rare), ...times(3, ...often));
    expect(waits).toEqual([...often.map((one) => one - SongSymbol.wait), 1, 2, 3, 4, 5]);
    // The codes from the first wait up to the references (docs/stream.md).
    expect(TABLE_CODES).toBe(0xe0 - 0x82);
    expect([CODE.firstWait, CODE.references]).toEqual([0x82, 0xe0]);
  });
});

describe('the table after a round', () => {
  test('what references leave standing counts, and what is there once goes', () => {
    const before = codeTable([1, 2], [0x90, 0x91], []);
    expect(next([0x90, 1, 0x90, 2, 0x91, wait(2), 3, wait(2), 4, -1], before)).toEqual({
      waits: [2],
      statuses: [0x90],
      pairs: [],
    });
  });

  test('two that stand together four times are a pair: two bytes of table, one for a code, and one saved', () => {
    expect(next([...times(4, 60, 64, -1)])).toEqual({ waits: [], statuses: [], pairs: [[60, 64]] });
    expect(next([...times(3, 60, 64, -1)]).pairs).toEqual([]);
    // A reference between them, or the end of the song.
    expect(next([...times(4, 60, -1, 64, -1)]).pairs).toEqual([]);
    expect(next([...times(4, 60, 64, SongSymbol.end)]).pairs).toEqual([[60, 64]]);
    expect(next([...times(4, 64, SongSymbol.end, 3)]).pairs).toEqual([]);
    // The last stands with nothing.
    expect(next([...times(3, 60, 0, -1), 60]).pairs).toEqual([]);
    expect(next([...times(3, 60, 1, -1), 60]).pairs).toEqual([]);
    // 0 is a data byte like others.
    expect(next([...times(4, 0, 0, -1)]).pairs).toEqual([[0, 0]]);
  });

  test('of three of a kind two make a pair', () => {
    // Nine of a kind hold four pairs, and eight as many; seven hold three.
    expect(next(times(9, 5)).pairs).toEqual([[5, 5]]);
    expect(next(times(8, 5)).pairs).toEqual([[5, 5]]);
    expect(next(times(7, 5)).pairs).toEqual([]);
    expect(next([...times(4, 5, 5, 5, -1)]).pairs).toEqual([[5, 5]]);
    expect(next([...times(2, 5, 5, 5, -1)]).pairs).toEqual([]);
    // Of 5 5 6 the second 5 stands with the 6.
    expect(next([...times(4, 5, 5, 6, -1)]).pairs).toEqual([
      [5, 5],
      [5, 6],
    ]);
  });

  test('what is written in two bytes is in no pair', () => {
    expect(next([...times(4, 0x90, 60, -1)])).toEqual({ waits: [], statuses: [0x90], pairs: [] });
    expect(next([...times(4, 60, wait(3), -1)])).toEqual({ waits: [3], statuses: [], pairs: [] });
    const coded = codeTable([3], [0x90], []);
    expect(next([...times(4, 0x90, wait(3), -1)], coded)).toEqual({
      waits: [3],
      statuses: [0x90],
      pairs: [[0x90, wait(3)]],
    });
    expect(next([...times(4, 0x80, 60, -1), ...times(4, 60, 0x80, -1)]).pairs).toEqual([]);
    expect(next([...times(4, 0x80, 60, -1)], codeTable([], [0x80], [])).pairs).toEqual([[0x80, 60]]);
  });

  test('three of a kind on end are three', () => {
    const coded = codeTable([4, 9], [], []);
    expect(next([wait(9), wait(9), wait(9), -1, wait(4), -1, wait(4)], coded).waits).toEqual([9, 4]);
  });

  test('no more new pairs than there may be, the most frequent first, then by number', () => {
    const parts = [
      ...times(4, 3, 4, -1),
      ...times(4, 1, 2, -1),
      ...times(5, 7, 8, -1),
      ...times(4, 1, 1, -1),
    ];
    expect(next(parts, EMPTY, 3).pairs).toEqual([
      [7, 8],
      [1, 1],
      [1, 2],
    ]);
    expect(next(parts, EMPTY, 1).pairs).toEqual([[7, 8]]);
    expect(next(parts, EMPTY, 0).pairs).toEqual([]);
    // One is there already: of three there may be two are new.
    const known = codeTable([], [], [[9, 9]]);
    const more = [...times(3, pair(0), -1), ...parts];
    expect(next(more, known, 3).pairs).toEqual([
      [7, 8],
      [1, 1],
      [9, 9],
    ]);
    expect(next(more, known, 0).pairs).toEqual([[9, 9]]);
  });

  test('a pair that is known stays while it stands three times, and is not taken twice', () => {
    const known = codeTable(
      [],
      [],
      [
        [1, 2],
        [3, 4],
      ],
    );
    const parts = [...times(3, pair(1), -1), ...times(2, pair(0), -1), ...times(4, 3, 4, -1)];
    expect(next(parts, known).pairs).toEqual([[3, 4]]);
  });

  test('a pair of pairs brings them with it, each before it, under its new number', () => {
    const known = codeTable(
      [1],
      [0x90],
      [
        [5, 6],
        [0x90, 60],
        [wait(1), pair(1)],
      ],
    );
    expect(next(times(5, pair(2), -1), known)).toEqual({
      waits: [1],
      statuses: [0x90],
      pairs: [
        [0x90, 60],
        [wait(1), pair(0)],
      ],
    });
    expect(next([...times(6, 0x90, 60, -1), ...times(4, pair(2), pair(2), -1)], known).pairs).toEqual([
      [0x90, 60],
      [wait(1), pair(0)],
      [pair(1), pair(1)],
    ]);
  });

  test('a pair whose parts find no room is passed over, and what is worth less but fits is taken', () => {
    const often = Array.from({ length: TABLE_CODES - 2 }, (_, n) => wait(n + 10));
    const coded = codeTable([1], [0x90], []);
    const parts = [
      ...often.flatMap((one) => times(9, one, -1)),
      ...times(8, 0x90, wait(1), -1),
      ...times(5, 1, 2, -1),
    ];
    // Codes for the two parts are worth more than the pair, and leave it no room.
    expect(next(parts, coded)).toEqual({
      waits: [...often.map((one) => one - SongSymbol.wait), 1],
      statuses: [0x90],
      pairs: [],
    });
    // A pair of a pair wants two codes where one is left.
    const deep = codeTable(
      [],
      [],
      [
        [1, 2],
        [pair(0), 3],
      ],
    );
    const tight = [
      ...Array.from({ length: TABLE_CODES - 1 }, (_, n) => times(9, wait(n + 10), -1)).flat(),
      ...times(7, pair(1), -1),
      ...times(5, 4, 4, -1),
    ];
    expect(next(tight, deep).pairs).toEqual([[4, 4]]);
  });
});
