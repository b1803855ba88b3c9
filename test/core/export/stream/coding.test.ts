import { expect, test } from 'vitest';
import { codeTable } from '../../../../src/core/export/stream/code-table.ts';
import { codingOf, stands } from '../../../../src/core/export/stream/coding.ts';
import { levelLimits } from '../../../../src/core/export/stream/level-limits.ts';
import { SongSymbol } from '../../../../src/core/export/stream/song-symbol.ts';

const wait = (steps: number) => SongSymbol.wait + steps;
const pair = (index: number) => SongSymbol.pair + index;
const CODING = codingOf(
  codeTable(
    [3],
    [0x90],
    [
      [0x90, 60],
      [wait(3), pair(0)],
      [pair(0), 64],
      [pair(1), pair(2)],
    ],
  ),
);

test('a phrase is plain symbols, as deep at its deepest, its beginning and its end as its pairs are', () => {
  expect([0, 1, 2, 3].map((index) => CODING.phraseOf(pair(index)))).toEqual([
    { symbol: pair(0), symbols: [0x90, 60], depth: 1, entries: 1, exits: 1 },
    { symbol: pair(1), symbols: [wait(3), 0x90, 60], depth: 2, entries: 1, exits: 2 },
    { symbol: pair(2), symbols: [0x90, 60, 64], depth: 2, entries: 2, exits: 1 },
    { symbol: pair(3), symbols: [wait(3), 0x90, 60, 0x90, 60, 64], depth: 3, entries: 2, exits: 2 },
  ]);
  const from = (symbol: number) => CODING.phrasesFrom(symbol).map((phrase) => phrase.symbol);
  expect([from(0x90), from(wait(3)), from(60)]).toEqual([[pair(0), pair(2)], [pair(1), pair(3)], []]);
});

test('bytes of symbols: those with a code of their own one, the others two', () => {
  const bytes = [0, 0x7f, 0x80, 0x90, 0xff, wait(1), wait(3), wait(255), SongSymbol.end].map((symbol) =>
    CODING.bytesOf(symbol),
  );
  expect(bytes).toEqual([1, 1, 2, 1, 2, 2, 1, 2, 2]);
});

test('a phrase stands where the song has it whole, and its levels may be entered and left there', () => {
  const phrase = CODING.phraseOf(pair(2));
  const song = Int32Array.from([0x90, 60, 64, 0x90, 60, 65, 0x90, 60]);
  const limits = levelLimits(song.length, 2);
  const standsAt = (at: number) => stands(song, at, phrase, limits);
  expect([0, 3, 6].map(standsAt)).toEqual([true, false, false]);
  limits.left[3] = 1;
  expect(standsAt(0)).toBe(true);
  limits.left[3] = 0;
  expect(standsAt(0)).toBe(false);
  limits.left[3] = 1;
  limits.entered[0] = 1;
  expect(standsAt(0)).toBe(false);
  expect([...levelLimits(2, 5).entered, ...levelLimits(2, 5).left]).toEqual([5, 5, 5, 5, 5, 5]);
});
