import { describe, expect, test } from 'vitest';
import { codeTable } from '../../../../src/core/export/stream/code-table.ts';
import { codingOf } from '../../../../src/core/export/stream/coding.ts';
import { levelLimits } from '../../../../src/core/export/stream/level-limits.ts';
import { relieveBursts } from '../../../../src/core/export/stream/relieve-bursts.ts';
import { SongSymbol } from '../../../../src/core/export/stream/song-symbol.ts';
import { type GrowingParts, GrowingParts as Parts } from '../../../../src/core/export/stream/stream-parts.ts';

const WAIT = SongSymbol.wait + 9;
const CODING = codingOf(
  codeTable(
    [9],
    [],
    [
      [3, 4],
      [WAIT, 3],
    ],
  ),
);
const PAIR = CODING.phraseOf(SongSymbol.pair);

/**
 * Symbols  1 2 (3 4) w | 1 2 (3 4) | 2 (3 4) w [1 2 (3 4)] | 7
 * at       0 1  2 3  4   5 6  7 8    9 10 11 12 13 … 15 16   17
 * byte     0 1  2 3      4 5  6 7    8  9 10    11 … 13 14   15
 */
function bars(): readonly [GrowingParts, Int32Array] {
  const parts = new Parts(9);
  parts.literal(1, 1);
  parts.literal(2, 1);
  parts.phrase(PAIR);
  parts.literal(WAIT, 1);
  parts.reference(0, 3);
  parts.reference(1, 4);
  parts.literal(7, 1);
  return [parts, Int32Array.of(1, 2, 3, 4, WAIT, 1, 2, 3, 4, 2, 3, 4, WAIT, 1, 2, 3, 4, 7)];
}

/** Limits that are lower than five afterwards, as `entered 5: 0`; `late` by byte, 0 where it says nothing. */
function relieved(
  late: Readonly<Record<number, number>>,
  mostUnits: number,
  levelUnits = 6,
  [parts, symbols]: readonly [GrowingParts, Int32Array] = bars(),
  limits = levelLimits(symbols.length, 5),
): string[] {
  const bytes = symbols.filter((symbol) => symbol < 0x100).length;
  const lateUnits = Float64Array.from({ length: bytes }, (_, byte) => late[byte] ?? 0);
  const isLower = relieveBursts({ symbols, parts, coding: CODING, lateUnits }, limits, mostUnits, levelUnits);
  const found = (['entered', 'left'] as const).flatMap((kind) =>
    [...limits[kind].entries()]
      .filter(([, limit]) => limit < 5)
      .map(([at, limit]) => `${kind} ${at}: ${limit}`),
  );
  expect(isLower).toBe(found.length > 0);
  return found;
}

describe('one byte that is late: a level less where its symbols enter or leave one', () => {
  test.each<[string, number, string[]]>([
    ['a pair that begins', 2, ['entered 2: 0']],
    ['within a pair: it can only be done without', 3, ['entered 2: 0']],
    ['behind a wait that follows a pair: left there, and what is entered', 4, ['entered 5: 0', 'left 4: 0']],
    ['no level begins or ends', 5, []],
    ['a pair in a reference is relieved where it stands', 6, ['entered 2: 0']],
    ['more levels are left than entered', 8, ['left 9: 1']],
    ['a reference in a reference, where that stands', 11, ['entered 5: 0', 'left 4: 0']],
    ['a pair two references deep', 13, ['entered 2: 0']],
    ['three levels are left', 15, ['left 17: 2']],
  ])('%s', (_, byte, lower) => {
    expect(relieved({ [byte]: 30 }, 20)).toEqual(lower);
  });

  test('as many entered as left: the one that is entered', () => {
    const parts = new Parts(5);
    parts.literal(1, 1);
    parts.literal(2, 1);
    parts.reference(0, 2);
    parts.reference(0, 2);
    expect(relieved({ 4: 30 }, 20, 6, [parts, Int32Array.of(1, 2, 1, 2, 1, 2)])).toEqual(['entered 4: 0']);
  });

  test('the first byte of all', () => {
    const parts = new Parts(2);
    parts.literal(WAIT, 1);
    parts.phrase(PAIR);
    expect(relieved({ 0: 30 }, 20, 6, [parts, Int32Array.of(WAIT, 3, 4)])).toEqual(['entered 1: 0']);
  });

  test('a pair that is the first part of all is entered and left like others', () => {
    const parts = new Parts(3);
    parts.phrase(PAIR);
    parts.literal(0, 1);
    parts.literal(7, 1);
    const at = (byte: number) => relieved({ [byte]: 30 }, 20, 6, [parts, Int32Array.of(3, 4, 0, 7)]);
    expect([0, 2, 3].map(at)).toEqual([['entered 0: 0'], ['left 2: 0'], []]);
  });

  test('before the first level, behind it, and further on there is none', () => {
    const parts = new Parts(4);
    parts.literal(7, 1);
    parts.phrase(PAIR);
    for (const symbol of [5, 6]) parts.literal(symbol, 1);
    const song = [parts, Int32Array.of(7, 3, 4, 5, 6)] as const;
    const at = (byte: number) => relieved({ [byte]: 30 }, 20, 6, song);
    expect([0, 1, 2, 3, 4].map(at)).toEqual([[], ['entered 1: 0'], ['entered 1: 0'], ['left 3: 0'], []]);
  });

  test('a level in a level: one less each time', () => {
    const [parts, symbols] = bars();
    const limits = levelLimits(symbols.length, 5);
    expect(relieved({ 15: 30 }, 20, 6, [parts, symbols], limits)).toEqual(['left 17: 2']);
    limits.left[17] = 1;
    expect(relieved({ 15: 30 }, 20, 6, [parts, symbols], limits)).toEqual(['left 17: 1']);
  });

  test('as late as it may be is in time', () => {
    expect(relieved({ 2: 20 }, 20)).toEqual([]);
    expect(relieved({ 2: 21 }, 20)).toEqual(['entered 2: 0']);
  });
});

describe('a burst: what took most of the time first, until enough is saved', () => {
  // Bytes 4 to 8 take 10, 2, 8, 4 and 16 units more than they have; 9 is later than its moment, but earlier than 8.
  const burst = { 4: 10, 5: 12, 6: 20, 7: 24, 8: 40, 9: 30 };

  test('each saves what a level costs, and no more than it was late', () => {
    // 20 too many: 6 by byte 8, 6 by byte 4, 6 by byte 6, and byte 7 is in the same pair.
    expect(relieved(burst, 20)).toEqual(['entered 2: 0', 'entered 5: 0', 'left 4: 0', 'left 9: 1']);
    // 12 too many: bytes 8 and 4.
    expect(relieved(burst, 28)).toEqual(['entered 5: 0', 'left 4: 0', 'left 9: 1']);
    // 13: byte 6 too.
    expect(relieved(burst, 27)).toContain('entered 2: 0');
    // A level that costs 20 saves no more than the 16 of byte 8, then the 10 of byte 4.
    expect(relieved(burst, 24, 20)).toEqual(['left 9: 1']);
    expect(relieved(burst, 23, 20)).toEqual(['entered 5: 0', 'left 4: 0', 'left 9: 1']);
    expect(relieved(burst, 14, 20)).toEqual(['entered 5: 0', 'left 4: 0', 'left 9: 1']);
    expect(relieved(burst, 13, 20)).toContain('entered 2: 0');
  });

  test('what has nothing to save saves nothing', () => {
    // Byte 5 took most and enters nothing: 8 too many, so that bytes 4 and 6 are both wanted.
    expect(relieved({ 4: 5, 5: 25, 6: 28 }, 20)).toEqual(['entered 2: 0', 'entered 5: 0', 'left 4: 0']);
  });

  test('of equal ones the earlier first', () => {
    expect(relieved({ 4: 10, 5: 10, 6: 20 }, 14)).toEqual(['entered 5: 0', 'left 4: 0']);
  });

  test('what comes behind the latest byte did not make it late, and of equal ones the first is it', () => {
    expect(relieved({ 4: 30, 5: 20, 6: 30 }, 0)).toEqual(['entered 5: 0', 'left 4: 0']);
    expect(relieved({ 4: 30, 5: 20, 6: 31 }, 0)).toContain('entered 2: 0');
  });

  test('the first byte of a song took what it is late, and the second what it is later', () => {
    const parts = new Parts(5);
    parts.phrase(PAIR);
    parts.literal(1, 1);
    parts.literal(2, 1);
    parts.reference(1, 2);
    const song = [parts, Int32Array.of(3, 4, 1, 2, 1, 2)] as const;
    const late = { 0: 10, 1: 10, 2: 10, 3: 10, 4: 19.5 };
    // 10 by byte 0, nothing by byte 1, 9.5 by byte 4.
    expect(relieved(late, 10.5, 9, song)).toEqual(['entered 0: 0']);
    expect(relieved(late, 9.5, 9, song)).toEqual(['entered 0: 0', 'entered 4: 0']);
  });

  test('less than a unit counts', () => {
    expect(relieved({ 4: 1 }, 0.5)).toEqual(['entered 5: 0', 'left 4: 0']);
    // Half a unit late is late: bytes 2 to 4 are one burst, and 7 too many are more than byte 4 saves.
    expect(relieved({ 2: 15, 3: 0.5, 4: 25 }, 18)).toEqual(['entered 2: 0', 'entered 5: 0', 'left 4: 0']);
  });

  test('what stands before the first byte is not the second’s', () => {
    const parts = new Parts(2);
    parts.phrase(CODING.phraseOf(SongSymbol.pair + 1));
    parts.literal(7, 1);
    expect(relieved({ 1: 30 }, 20, 6, [parts, Int32Array.of(WAIT, 3, 7)])).toEqual(['left 2: 0']);
  });

  test('bytes that took no time of their own are left alone', () => {
    expect(relieved({ 8: 20, 9: 20, 10: 20, 11: 40 }, 0)).toEqual(['entered 5: 0', 'left 4: 0', 'left 9: 1']);
  });

  test('a byte in time ends a burst; each is looked at by itself', () => {
    expect(relieved({ 4: 30, 8: 25, 9: 0, 13: 21 }, 20)).toEqual([
      ...['entered 2: 0', 'entered 5: 0'],
      ...['left 4: 0', 'left 9: 1'],
    ]);
    expect(relieved({ 2: 15, 3: 0, 4: 25 }, 20)).toEqual(['entered 5: 0', 'left 4: 0']);
    expect(relieved({ 2: 15, 3: 1, 4: 16, 15: 21 }, 20)).toEqual(['left 17: 2']);
  });
});
