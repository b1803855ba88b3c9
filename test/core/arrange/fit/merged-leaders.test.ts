import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { mergedLeaders } from '../../../../src/core/arrange/fit/merged-leaders.ts';
import { partOf } from '../../../../src/core/arrange/fit/part-of.ts';
import { ChannelDisturbance } from '../../../../src/core/arrange/fit/part-stretches.ts';
import { columnsOfText } from './rows-as-text.ts';

/** `part → leader` as `channel/sound → channel`. */
function leaders(...lines: string[]): string[] {
  const columns = columnsOfText(...lines);
  const found = mergedLeaders(heardNotes(columns, [9]), new ChannelDisturbance(columns), columns.count);
  return [...found].map(([part, leader]) => `${part >> 21}/${part & 0x1f_ffff} → ${leader}`).sort();
}

const hex = (byte: number) => byte.toString(16).toUpperCase().padStart(2, '0');
const note = (channel: number, key: number, on: number, off: number) => [
  `${on} ${hex(0x90 | channel)} ${hex(key)} 40`,
  `${off} ${hex(0x80 | channel)} ${hex(key)} 40`,
];
/** Channel 1 has most notes, channels 2 and 3 fewer. */
const [ONE, TWO, THREE] = [
  [...note(0, 60, 0, 10), ...note(0, 62, 20, 30), ...note(0, 64, 40, 50)],
  [...note(1, 67, 0, 10), ...note(1, 69, 20, 30)],
  note(2, 72, 0, 50),
];

describe('channels that play along with another of the same sound', () => {
  test('the one with most notes leads; drums and other sounds stay apart', () => {
    expect(partOf(1, 0)).toBe(1 << 21);
    expect(leaders(...TWO, ...ONE, ...THREE)).toEqual(['1/0 → 0', '2/0 → 0']);
    expect(leaders(...ONE, '0 C1 05', ...TWO.map((line) => line.replace(/^0 /, '1 ')))).toEqual([]);
    expect(leaders(...ONE, ...note(9, 67, 0, 10))).toEqual([]);
    expect(leaders(...ONE)).toEqual([]);
    expect(leaders('0 C0 05', '0 C1 05', ...note(0, 60, 1, 2), ...note(1, 61, 1, 2))).toEqual(['1/5 → 0']);
  });

  test('one key at once keeps two apart, one after the other does not', () => {
    expect(leaders(...ONE, ...note(1, 60, 5, 15))).toEqual([]);
    expect(leaders(...ONE, ...note(1, 60, 11, 15))).toEqual(['1/0 → 0']);
    // What keeps it from the first does not keep it from the second, which leads then.
    expect(leaders(...ONE, ...note(1, 60, 0, 10), ...note(1, 65, 20, 30), ...note(2, 62, 25, 28))).toEqual([
      '2/0 → 1',
    ]);
    // The notes of those that joined before count as well.
    expect(leaders(...ONE, ...TWO, ...note(2, 69, 25, 28))).toEqual(['1/0 → 0']);
  });

  test('a bend or a pedal of either keeps them apart', () => {
    expect(leaders(...ONE, ...TWO, '5 E0 00 41')).toEqual([]);
    expect(leaders(...ONE, ...TWO, '5 B1 40 7F')).toEqual([]);
    expect(leaders(...ONE, ...TWO, '45 E3 00 41', '45 B0 40 00')).toEqual(['1/0 → 0']);
    // Bent before the first row counts as well, and in the last.
    expect(leaders('0 E1 00 41', ...ONE, ...TWO)).toEqual([]);
    expect(leaders(...ONE, ...TWO, '60 B0 40 7F')).toEqual([]);
  });

  test('a mode message that cuts notes of one, or would cut those of the other, does', () => {
    expect(leaders(...ONE, ...TWO, '5 B0 78 00')).toEqual([]);
    expect(leaders(...ONE, ...TWO, '5 B1 7B 00')).toEqual([]);
    // Between the notes of both nothing is cut.
    expect(leaders(...ONE, ...TWO, '15 B0 78 00', '15 B1 7B 00')).toEqual(['1/0 → 0']);
    // One of the leader’s that cuts only what would come along.
    expect(leaders(...ONE, ...note(1, 67, 32, 38), '35 B0 78 00')).toEqual([]);
  });
});

test('two channels are merged exactly where no key of one sounds when the other strikes it', () => {
  const some = fc.array(
    fc.tuple(
      fc.constantFrom(0, 1),
      fc.integer({ min: 60, max: 61 }),
      fc.integer({ min: 0, max: 20 }),
      fc.nat(4),
    ),
    { minLength: 2, maxLength: 10 },
  );
  fc.assert(
    fc.property(some, (struck) => {
      const columns = columnsOfText(
        ...struck.flatMap(([ch, key, on, length]) => note(ch, key, on, on + length)),
      );
      const notes = heardNotes(columns, []);
      const all = Array.from(notes.onRow, (on, n) => ({
        ...{ on, end: notes.endRow[n]! },
        ...{ channel: notes.channel[n]!, key: notes.key[n]! },
      }));
      const isClash = all.some((a) =>
        all.some((b) => a.channel !== b.channel && a.key === b.key && a.on < b.on && b.on < a.end),
      );
      const isOne = new Set(all.map(({ channel }) => channel)).size < 2;
      const found = mergedLeaders(notes, new ChannelDisturbance(columns), columns.count);
      expect(found.size).toBe(isClash || isOne ? 0 : 1);
    }),
    { numRuns: 200, seed: 2 },
  );
});
