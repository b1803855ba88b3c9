import { describe, expect, test } from 'vitest';
import { fitVoices } from '../../../../src/core/arrange/fit/fit-voices.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../../src/core/instrument/instrument.ts';
import { columnsOfText, END, textOf } from './rows-as-text.ts';

function planned(
  traits: Partial<Instrument>,
  lines: readonly string[],
  { keep = 1, early = false }: { keep?: number; early?: boolean } = {},
) {
  const instrument = { ...GENERAL_MIDI, ...traits };
  const fit = fitVoices(columnsOfText(...lines), END, instrument, [9], keep, early);
  return fit && { rows: textOf(fit.columns), leftOut: fit.leftOut, shortened: fit.shortened };
}

/** A long note and a short one inside it; an organ sounds on, a piano has died away for the most part. */
const inside = (program: string) => [
  ...[`0 C0 ${program}`, '0 90 3C 40', '1000 90 40 40'],
  ...['2000 80 40 40', '4000 80 3C 40'],
];
const [ORGAN, PIANO] = [inside('10'), inside('00')];

describe('a round of planning voices', () => {
  test('nothing is done where nothing is cut', () => {
    expect(planned({ voices: 2 }, ORGAN)).toBeUndefined();
    // Drums that it has not take no voice.
    const deaf = { ...GENERAL_MIDI.drums, keys: new Map([[36, 'bass drum']]) };
    const drums = ['0 90 3C 40', '100 99 50 40', '200 80 3C 40'];
    expect(planned({ voices: 1, drums: deaf }, drums)).toBeUndefined();
    expect(planned({ voices: 1 }, drums)).toBeDefined();
  });

  test('the long note of an organ is worth more than the short one; of a piano the rest is worth less', () => {
    // Four seconds of decay: 1.64 are left of the long one, 1.04 are in the short one; of 0.8 s: 0.22 and 0.72.
    expect(planned({ voices: 1 }, ORGAN)).toMatchObject({ leftOut: [2], shortened: [] });
    const { rows, leftOut, shortened } = planned({ voices: 1 }, PIANO)!;
    expect([leftOut, shortened]).toEqual([[], [1]]);
    expect(rows).toEqual(['0 C0 00', '0 90 3C 40', '1000 80 3C 40', '1000 90 40 40', '2000 80 40 40']);
    expect(planned({ voices: 1 }, PIANO, { early: true })!.rows[2]).toBe('999 80 3C 40');
  });

  test('what is planned is never worse than what the instrument does by itself, and not done for nothing', () => {
    // It drops the new note by itself, which is best: left out it is not cut.
    expect(planned({ voices: 1, full: 'newest' }, ORGAN)).toMatchObject({ leftOut: [2] });
    expect(planned({ voices: 1, full: 'newest' }, PIANO)).toMatchObject({ shortened: [1] });
  });

  test('melody and beat are kept before what is between', () => {
    // Bottom, inner and two of the melody: one voice too few costs the inner note.
    const chord = ['30', '37', '3C', '40'].flatMap((key) => [`0 90 ${key} 40`, `1000 80 ${key} 40`]);
    expect(planned({ voices: 3 }, ['0 C0 10', ...chord])).toMatchObject({ leftOut: [2] });
    // A beat needs a voice of four. By itself the instrument takes the loud bottom, which was struck first; the soft
    // melody weighs less (2 × 0.44) than what is between (1), but not where it counts for four times as much.
    const struck = [
      ['30', '7F'],
      ['37', '50'],
      ['3C', '28'],
      ['40', '28'],
    ];
    const beat = [
      '0 C0 10',
      ...struck.flatMap(([key, velocity]) => [`0 90 ${key} ${velocity}`, `1000 80 ${key} 40`]),
      ...['900 99 24 7F', '1000 89 24 40'],
    ];
    expect(planned({ voices: 4 }, beat, { keep: 1 })!.shortened).toEqual([3]);
    expect(planned({ voices: 4 }, beat, { keep: 4 })!.shortened).toEqual([2]);
  });

  test('notes that take two voices give both up', () => {
    const banks = GENERAL_MIDI.banks.map((bank) => ({
      ...bank,
      programs: bank.programs.map((program) => ({ ...program, voicesEach: program.number === 16 ? 2 : 1 })),
    }));
    expect(planned({ voices: 3, banks }, ORGAN)).toMatchObject({ leftOut: [2] });
    expect(planned({ voices: 4, banks }, ORGAN)).toBeUndefined();
    expect(planned({ voices: 3 }, ORGAN)).toBeUndefined();
  });

  test('where dying notes hold their voices, notes end so much sooner; where they give way, at the moment', () => {
    const traits = { voices: 1, releaseMicros: 200_000 };
    const marks = [...PIANO.slice(0, 2), '800 B0 01 01', '900 B0 01 02', ...PIANO.slice(2)];
    expect(planned({ ...traits, full: 'released' }, marks)!.rows).toContain('1000 80 3C 40');
    expect(planned({ ...traits, full: 'oldest' }, marks)!.rows).toContain('1000 80 3C 40');
    // The new note is dropped while a tail sounds.
    expect(planned({ ...traits, full: 'newest' }, marks)!.rows).toContain('800 80 3C 40');
    expect(planned({ ...traits, releaseMicros: 100_000, full: 'newest' }, marks)!.rows).toContain(
      '900 80 3C 40',
    );
  });
});
