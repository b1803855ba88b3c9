import { describe, expect, test } from 'vitest';
import { fitPrograms } from '../../../../src/core/arrange/fit/fit-programs.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Bank, Instrument } from '../../../../src/core/instrument/instrument.ts';
import { edited } from './rows-as-text.ts';

const PIANO = 0;
const FLUTE = 73;

/** Sounds by number, each with the General MIDI program it is like. */
const bank = (msb: number | undefined, lsb: number | undefined, sounds: Record<number, number>): Bank => ({
  name: `${msb}/${lsb}`,
  msb,
  lsb,
  programs: Object.entries(sounds).map(([number, like]) => ({
    number: Number(number),
    name: `sound ${number}`,
    like,
    keys: undefined,
    voicesEach: 1,
  })),
});
const having = (...banks: Bank[]): Instrument => ({ ...GENERAL_MIDI, banks });

const fitted = (instrument: Instrument, ...lines: string[]) => {
  const { fit, rows, isEmpty } = edited(lines, (columns, edits) =>
    fitPrograms(columns, edits, instrument, [9, 10]),
  );
  return { ...fit, keeps: fit.keeps.join(''), rows, isEmpty };
};

describe('programs on an instrument that has few', () => {
  /** Number 3 is a flute, number 5 a piano, chosen by CC 0 = 2. */
  const few = having(bank(2, undefined, { 3: FLUTE, 5: PIANO }));

  test('become the nearest, its bank selected once, in the track of the program; notes are counted', () => {
    const { rows, moves, keeps, banksDropped, putIn } = fitted(
      few,
      '0/1 C0 4A', // recorder
      '1 90 3C 40',
      '2 80 3C 40',
      '3 C0 00', // piano
      '4 90 3C 40',
      '5 90 3D 40',
      '6 90 3E 00',
      '7 C0 4A',
      '8 C0 4A',
      '9 90 3F 40',
    );
    expect(rows).toEqual([
      '0/1 B0 00 02',
      '0/1 C0 03',
      '1 90 3C 40',
      '2 80 3C 40',
      '3 C0 05',
      '4 90 3C 40',
      '5 90 3D 40',
      '6 90 3E 00',
      '7 C0 03',
      '8 C0 03',
      '9 90 3F 40',
    ]);
    expect(moves).toEqual([
      { channel: 0, from: 74, to: 3, toName: 'sound 3', why: 'sub-group', notes: 2 },
      { channel: 0, from: 0, to: 5, toName: 'sound 5', why: 'same', notes: 2 },
    ]);
    // Another number of the same sound is what was asked for.
    expect(keeps).toBe('1011111110');
    expect([banksDropped, putIn]).toEqual([0, []]);
  });

  test('a program without a note is no move, and channels are apart', () => {
    const { rows, moves } = fitted(few, '0 C0 4A', '1 C0 00', '2 90 3C 40', '3 C1 4A', '4 91 3C 40');
    expect(rows).toEqual([
      '0 B0 00 02',
      '0 C0 03',
      '1 C0 05',
      '2 90 3C 40',
      '3 B1 00 02',
      '3 C1 03',
      '4 91 3C 40',
    ]);
    expect(moves.map(({ channel, from, notes }) => [channel, from, notes])).toEqual([
      [0, 0, 1],
      [1, 74, 1],
    ]);
  });

  test('banks: one that is there is selected with the program, the others are counted and left out', () => {
    const { rows, banksDropped } = fitted(
      few,
      '0 B0 00 02', // there, any fine half
      '0 B0 20 07',
      '0 C0 4A',
      '1 90 3C 40',
      '2 B0 00 04', // not there: two messages
      '2 B0 20 00',
      '3 C0 4A',
      '4 90 3C 40',
      '5 B0 07 64',
      '6 B0 00 01', // no program follows
    );
    expect(rows).toEqual(['0 B0 00 02', '0 C0 03', '1 90 3C 40', '3 C0 03', '4 90 3C 40', '5 B0 07 64']);
    expect(banksDropped).toBe(3);
  });

  test('exact bank and number stay untouched, whatever the song selects beside', () => {
    const { rows, isEmpty, keeps } = fitted(few, '0 B0 00 02', '0 C0 03', '1 90 3C 40', '2 B0 00 05');
    expect(rows).toEqual(['0 B0 00 02', '0 C0 03', '1 90 3C 40', '2 B0 00 05']);
    expect([isEmpty, keeps]).toEqual([true, '1111']);
    const odd = [
      '0 B3 07 64',
      '0 B3 00 02',
      '0 B3 20 05',
      '0 B3 07 64',
      '0 B3 0A 00',
      '0 C3 03',
      '1 93 3C 40',
    ];
    expect(fitted(few, ...odd).isEmpty).toBe(true);
    const fine = having(bank(undefined, 4, { 3: FLUTE }));
    expect(fitted(fine, '0 B3 20 04', '0 B3 07 64', '0 C3 03', '1 93 3C 40').isEmpty).toBe(true);
  });

  test('a bank counts from the next program on: a note between has the program before', () => {
    const { isEmpty } = fitted(few, '0 B0 00 02', '0 C0 03', '1 B0 00 05', '2 90 3C 40');
    expect(isEmpty).toBe(true);
    // The fine half that is not asked of it stays as it was asked for, and goes back with the bank.
    const { rows } = fitted(
      few,
      '0 B0 20 01',
      '0 B0 00 02',
      '1 C0 03',
      '2 C0 04',
      '3 90 3C 40',
      '4 90 3C 00',
    );
    expect(rows).toEqual([
      '1 B0 00 02',
      '1 B0 20 01',
      '1 C0 03',
      '2 B0 20 00',
      '2 C0 05',
      '3 90 3C 40',
      '4 90 3C 00',
    ]);
  });

  test('a bank without a select is bank 0; one that is numbered 0 is selected all the same, and first of all', () => {
    const one = having(bank(1, 1, { 3: FLUTE }));
    expect(fitted(one, '0 C0 03', '1 90 3C 40').rows.slice(0, 3)).toEqual([
      '0 B0 00 01',
      '0 B0 20 01',
      '0 C0 03',
    ]);
    const zero = having(bank(0, 0, { 3: FLUTE }));
    expect(fitted(zero, '0 C0 03', '1 90 3C 40').isEmpty).toBe(true);
    expect(fitted(zero, '0 C0 04', '1 90 3C 40', '2 C0 05', '3 90 3C 40').rows).toEqual([
      '0 B0 00 00',
      '0 B0 20 00',
      '0 C0 03',
      '1 90 3C 40',
      '2 C0 03',
      '3 90 3C 40',
    ]);
  });

  test('the half of a bank that the song never sent is not sent for it', () => {
    const fine = having(bank(undefined, 4, { 3: FLUTE }));
    const coarse = having(bank(4, undefined, { 3: FLUTE }));
    const sent = (instrument: Instrument, select: string) =>
      fitted(instrument, '0 90 3C 40', `1 ${select}`, '2 C0 03', '3 90 3C 40').rows.filter((row) =>
        row.startsWith('2 '),
      );
    expect(sent(fine, 'B0 20 04')).toEqual(['2 C0 03']);
    expect(sent(coarse, 'B0 00 04')).toEqual(['2 C0 03']);
  });

  test('a bank select and a note-off make no notes, and an unplayed program touches nothing', () => {
    expect(fitted(few, '0 C0 4A', '1 80 3C 40', '2 90 3C 00').isEmpty).toBe(true);
  });
});

describe('back to a bank that needs no selection', () => {
  test('0 is sent where another was selected, once; coarse and fine each for itself', () => {
    const two = having(
      bank(undefined, undefined, { 0: PIANO }),
      bank(3, undefined, { 1: FLUTE }),
      bank(undefined, 4, { 2: 48 }),
    );
    const { rows } = fitted(
      two,
      '0 C0 01', // a piano: plain
      '1 90 3C 40',
      '2 C0 4A', // a flute: 3
      '3 90 3C 40',
      '4 C0 02', // back
      '5 90 3C 40',
      '6 C0 01',
      '7 90 3C 40',
      '8 C0 31', // strings: fine 4
      '9 90 3C 40',
      '10 C0 02',
      '11 90 3C 40',
      '12 C0 01',
      '13 90 3C 40',
    );
    expect(rows.filter((row) => !row.includes(' 90 '))).toEqual([
      '0 C0 00',
      '2 B0 00 03',
      '2 C0 01',
      '4 B0 00 00',
      '4 C0 00',
      '6 C0 00',
      '8 B0 20 04',
      '8 C0 02',
      '10 B0 20 00',
      '10 C0 00',
      '12 C0 00',
    ]);
  });
});

describe('notes before any program', () => {
  test('mean the first of all: it is put in before them, and told where it is what was meant', () => {
    const { rows, putIn, keeps, moves } = fitted(
      GENERAL_MIDI,
      '0/1 93 3C 40',
      '1/1 93 3D 40',
      '2/1 C3 05',
      '3/1 93 3C 40',
    );
    expect(rows).toEqual(['0/1 C3 00', '0/1 93 3C 40', '1/1 93 3D 40', '2/1 C3 05', '3/1 93 3C 40']);
    expect([putIn, keeps, moves]).toEqual([[3], '1111', []]);
  });

  test('where that is not there, the nearest: a move, and nothing is said to be put in', () => {
    const { rows, putIn, keeps, moves } = fitted(
      having(bank(2, 1, { 3: FLUTE })),
      '0 B0 00 02', // counts for nothing before a program
      '1 90 3C 40',
      '2 90 3D 40',
    );
    expect(rows).toEqual(['1 B0 00 02', '1 B0 20 01', '1 C0 03', '1 90 3C 40', '2 90 3D 40']);
    expect([putIn, keeps]).toEqual([[], '100']);
    const both = having(bank(undefined, undefined, { 0: PIANO }), bank(2, undefined, { 0: FLUTE }));
    expect(fitted(both, '0 B0 00 02', '1 90 3C 40').rows).toEqual(['1 C0 00', '1 90 3C 40']);
    expect(moves).toEqual([{ channel: 0, from: 0, to: 3, toName: 'sound 3', why: 'any', notes: 2 }]);
  });

  test('an instrument that lists nothing: nothing is known, nothing is changed', () => {
    const { isEmpty, keeps } = fitted(having(), '0 90 3C 40', '1 B0 00 05', '1 C0 09', '2 90 3C 40');
    expect([isEmpty, keeps]).toEqual([true, '1111']);
  });
});

describe('drums', () => {
  const withKits = (...numbers: number[]): Instrument => ({
    ...GENERAL_MIDI,
    drums: { ...GENERAL_MIDI.drums, kits: new Map(numbers.map((kit) => [kit, `kit ${kit}`])) },
  });
  const kitFor = (asked: string, ...kits: number[]) =>
    fitted(withKits(...kits), `0 C9 ${asked}`, '1 99 24 40').rows[0];

  test('a kit stays, becomes the first of its eight, the standard one, or the lowest there is', () => {
    expect(kitFor('0A', 0, 8, 10)).toBe('0 C9 0A');
    expect(kitFor('0F', 0, 8)).toBe('0 C9 08');
    expect(kitFor('10', 0, 8)).toBe('0 C9 00');
    expect(kitFor('10', 9, 3)).toBe('0 C9 03');
    expect(kitFor('10', 3)).toBe('0 C9 03');
    // Without kits a program change does nothing: it is left alone.
    expect(kitFor('10')).toBe('0 C9 10');
  });

  test('notes on another kit are counted, until the kit is there again', () => {
    const { moves, keeps } = fitted(
      withKits(0, 8),
      '0 99 24 40',
      '1 C9 09',
      '2 99 24 40',
      '3 99 26 40',
      '4 99 26 00',
      '5 C9 08',
      '6 99 24 40',
    );
    expect(moves).toEqual([{ channel: 9, from: 9, to: 8, toName: 'kit 8', why: 'kit', notes: 2 }]);
    expect(keeps).toBe('1100111');
  });

  test('what chooses drums on channel 11 goes where General MIDI 2 is not known, and nothing else does', () => {
    const song = [
      '0 B9 00 78',
      '0 BA 20 01', // no bank 120 yet
      '1 BA 07 64',
      '2 BA 00 78',
      '3 BA 20 00',
      '4 BA 0B 64',
      '5 BA 00 01',
      '6 BA 20 01',
    ];
    const { rows, banksDropped } = fitted(GENERAL_MIDI, ...song);
    expect(rows).toEqual(song.filter((_, n) => n !== 3 && n !== 4));
    expect(banksDropped).toBe(2);
    const knows = { ...GENERAL_MIDI, resets: new Set(['gm2'] as const) };
    expect(fitted(knows, ...song)).toMatchObject({ rows: song, banksDropped: 0, isEmpty: true });
  });

  test('a system message is none of theirs', () => {
    const rows = ['0 F0 7E 7F 09 01 F7', '1 C0 00', '2 90 3C 40'];
    expect(fitted(GENERAL_MIDI, ...rows)).toMatchObject({ rows, isEmpty: true });
  });
});
