import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ChordOrder } from '../../../../src/core/wire/packing/chord-order.ts';
import { NO_ROW } from '../../../../src/core/wire/packing/row-rules.ts';
import { columnsOfRows } from '../columns-of.ts';
import { type ChordSetting, plainChordOrder } from './plain-chord-order.ts';

interface Note {
  readonly channel: number;
  readonly key: number;
  readonly velocity: number;
}

const columnsOfNotes = (notes: readonly Note[]) =>
  columnsOfRows(
    notes.map(({ channel, key, velocity }) => ({ micros: 0, bytes: [0x90 | channel, key, velocity] })),
  );

const NOTHING_SET: ChordSetting = {
  programs: new Uint8Array(16),
  held: 0,
  strictFrom: new Uint32Array(16).fill(NO_ROW),
  drumChannels: 1 << 9,
};

/** The notes in the order in which they go. */
function sorted(notes: readonly Note[], setting: Partial<ChordSetting> = {}): Note[] {
  const { programs, held, strictFrom, drumChannels } = { ...NOTHING_SET, ...setting };
  const order = new ChordOrder(columnsOfNotes(notes), Uint32Array.from(strictFrom), drumChannels);
  // Between others, which stay where they are.
  const rows = Uint32Array.from([77, ...notes.keys(), 88]);
  order.sort(rows, 1, rows.length - 1, Uint8Array.from(programs), held);
  expect([rows[0], rows.at(-1)]).toEqual([77, 88]);
  return Array.from(rows.subarray(1, -1), (row) => notes[row]!);
}

/** Sorted by an order that has sorted another chord before: nothing of that may stay. */
function sortedAfter(before: readonly Note[], notes: readonly Note[], setting: ChordSetting): Note[] {
  const { programs, held, strictFrom, drumChannels } = setting;
  const all = [...before, ...notes];
  const order = new ChordOrder(columnsOfNotes(all), Uint32Array.from(strictFrom), drumChannels);
  const rows = Uint32Array.from(all.keys());
  order.sort(rows, 0, before.length, Uint8Array.from(programs), held);
  order.sort(rows, before.length, all.length, Uint8Array.from(programs), held);
  return Array.from(rows.subarray(before.length), (row) => all[row]!);
}

/** `3C/40` on channel 1 is `0:60/64`. */
const words = (notes: readonly Note[]) =>
  notes.map(({ channel, key, velocity }) => `${channel}:${key}/${velocity}`);
const note = (channel: number, key: number, velocity = 64): Note => ({ channel, key, velocity });

describe('the notes of a chord', () => {
  test('in a part: the lowest, the highest, then inwards', () => {
    const keys = sorted([64, 71, 69, 60, 62, 67].map((key) => note(0, key))).map(({ key }) => key);
    // 69 and 62 are two keys from their end, 64 and 67 four: among these the order of the file.
    expect(keys).toEqual([60, 71, 69, 62, 64, 67]);
  });

  test('of drums: bass drums and snares, then the loud', () => {
    const keys = [34, 35, 36, 37, 38, 39, 40, 41];
    const drums = [...keys.map((key) => note(9, key, key)), note(9, 42, 127)];
    expect(sorted(drums).map(({ key }) => key)).toEqual([40, 38, 36, 35, 42, 41, 39, 37, 34]);
  });

  test('between parts of one family the loud go first; a part is as loud as its loudest note', () => {
    const parts = [note(0, 60, 50), note(1, 60, 70), note(2, 60, 10), note(2, 61, 90), note(3, 100, 1)];
    expect(words(sorted(parts))).toEqual(['3:100/1', '2:60/10', '2:61/90', '1:60/70', '0:60/50']);
  });

  test('a part of two notes leads where the receiver holds its status, one of three does not', () => {
    const two = [note(9, 36), note(4, 60), note(4, 62)];
    expect(words(sorted(two, { held: 0x94 }))).toEqual(['4:60/64', '4:62/64', '9:36/64']);
    expect(words(sorted([...two, note(4, 64)], { held: 0x94 }))[0]).toBe('9:36/64');
    // Not where it holds another status of that channel.
    expect(words(sorted(two, { held: 0x84 }))[0]).toBe('9:36/64');
  });

  test('where order is part of the sound, a part keeps its own', () => {
    const strictFrom = new Uint32Array(16).fill(NO_ROW);
    strictFrom[0] = 0;
    const keys = sorted(
      [64, 60, 67, 62].map((key) => note(0, key)),
      { strictFrom },
    ).map(({ key }) => key);
    expect(keys).toEqual([64, 60, 67, 62]);
  });

  test('in a later chord too: how many notes, how loud, how high is counted anew', () => {
    const loud = [30, 60, 100].map((key) => note(0, key, 127));
    const quiet = [note(1, 50, 2), note(0, 60, 1), note(0, 62, 1)];
    const words0 = words(sortedAfter(loud, quiet, NOTHING_SET));
    expect(words0).toEqual(words(sorted(quiet)));
    expect(words0).toEqual(['0:60/1', '0:62/1', '1:50/2']); // the first channel has the top note
    const three = [note(0, 60, 1), note(0, 61, 1), note(0, 64, 1), note(1, 70, 1), note(1, 64, 2)];
    expect(words(sortedAfter(loud, three, NOTHING_SET))).toEqual(words(sorted(three)));
    const held = { ...NOTHING_SET, held: 0x90 };
    expect(words(sortedAfter(loud, [note(9, 36), note(0, 60)], held))).toEqual(['0:60/64', '9:36/64']);
  });

  test('in any chord, as comparing tells it (small ones and large)', () => {
    const anyNote = fc.record({
      channel: fc.constantFrom(0, 1, 2, 9, 15),
      key: fc.oneof(fc.integer({ min: 33, max: 42 }), fc.constantFrom(0, 60, 127)),
      velocity: fc.constantFrom(1, 2, 64, 127),
    });
    const setting = fc.record({
      programs: fc.array(fc.integer({ min: 0, max: 127 }), { minLength: 16, maxLength: 16 }),
      held: fc.constantFrom(0, 0x90, 0x91, 0x99, 0x80, 0xb1),
      strictFrom: fc.array(fc.constantFrom(0, 3, NO_ROW, NO_ROW), { minLength: 16, maxLength: 16 }),
      drumChannels: fc.constantFrom(0, 1 << 9, (1 << 9) | 1, 1 << 15),
    });
    const chord = fc.oneof(
      fc.array(anyNote, { minLength: 2, maxLength: 12 }),
      fc.array(anyNote, { minLength: 47, maxLength: 110 }),
    );
    fc.assert(
      fc.property(chord, setting, (notes, set) => {
        const plain = plainChordOrder(columnsOfNotes(notes), [...notes.keys()], set);
        expect(words(sorted(notes, set))).toEqual(words(plain.map((row) => notes[row]!)));
      }),
      { numRuns: 120 },
    );
  });
});
