import { describe, expect, test } from 'vitest';
import { type FitOptions, fitColumns } from '../../../../src/core/arrange/fit/fit-columns.ts';
import { allBendRanges, GENERAL_MARKS } from '../../../../src/core/arrange/fit/fit-marks.ts';
import { NEW_ROW } from '../../../../src/core/arrange/fit/row-edits.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../../src/core/instrument/instrument.ts';
import { columnsOfText, END, textOf } from './rows-as-text.ts';

const NO_DRUMS = { channels: [], keys: new Map<number, string>(), kits: new Map<number, string>() };

function fitted(traits: Partial<Instrument>, lines: readonly string[], options: Partial<FitOptions> = {}) {
  const written = columnsOfText(...lines);
  const fit = fitColumns(
    written,
    END,
    { ...GENERAL_MIDI, ...traits },
    {
      ...{ keep: 1, marks: GENERAL_MARKS, partsBy: 'notes', planVoices: true, keptResets: new Set<never>() },
      ...options,
    },
  );
  expect(textOf(written)).toEqual(textOf(columnsOfText(...lines)));
  return { ...fit, rows: textOf(fit.columns), keeps: fit.keepsProgram.join('') };
}

describe('all stages, one after another', () => {
  test('a song that fits stays as it is', () => {
    const lines = ['0 C0 05', '1 90 3C 40', '2 80 3C 40'];
    const fit = fitted({}, lines);
    expect(fit.rows).toEqual(lines);
    expect(Array.from(fit.origin)).toEqual([0, 1, 2]);
    expect(fit).toMatchObject({ parts: undefined, withoutVoice: [], shortened: [], pedalsWrittenOut: [] });
    expect(fit.marks).toEqual(GENERAL_MARKS);
    expect(fit.unplanned.columns).toBe(fit.columns);
  });

  test('what one stage puts in does not move what the next tells: rows are told as they were written', () => {
    // Programs are put in before notes 0 and 1; note 1 has no octave there, drum 2 no sound.
    const drums = { channels: [9], keys: new Map([[36, 'bass drum']]), kits: new Map<number, string>() };
    const lines = [
      '0 90 3C 40',
      '0 91 10 40',
      '0 99 3A 40',
      '9 80 3C 40',
      '9 81 10 40',
      '9 89 3A 40',
      '10 90 30 40',
    ];
    const fit = fitted({ keys: { low: 0x3a, high: 0x3d }, drums }, lines);
    expect(fit.programs.putIn).toEqual([0, 1]);
    expect(fit.keys).toMatchObject({ withoutKey: [1], keyTaken: [] });
    expect(fit.drumKeys).toMatchObject({ withoutSound: [2], withoutDrums: [] });
    expect(fit.rows).toEqual(['0 C0 00', '0 90 3C 40', '0 C1 00', '9 80 3C 40', '10 90 3C 40']);
    expect(Array.from(fit.origin)).toEqual([NEW_ROW, 0, NEW_ROW, 3, 6]);
    expect(fit.keeps).toBe('1111111');
    const none = fitted({ drums: NO_DRUMS }, lines);
    expect(none.drumKeys).toMatchObject({ withoutSound: [], withoutDrums: [2] });
    // A key that is taken by one that stays.
    const taken = fitted({ keys: { low: 0x30, high: 0x3b } }, [
      ...['0 90 30 40', '1 90 3C 40', '2 80 3C 40', '9 80 30 40'],
      ...['20', '21', '22'].flatMap((at) => [`${at} 90 32 40`, `${at} 80 32 40`]),
    ]);
    expect(taken.keys).toMatchObject({ withoutKey: [], keyTaken: [1] });
  });

  test('a pedal that is not followed is written out before all else, of its channels in their order', () => {
    const lines = [
      ...['0 C1 05', '0 C0 05', '0 B1 40 7F', '0 B0 42 7F', '0 B2 43 7F'],
      ...['1 91 3C 40', '2 81 3C 40', '9 B1 40 00', '10 B0 42 00'],
    ];
    const fit = fitted({ controllers: new Set([7]) }, lines);
    expect(fit.rows).toEqual(['0 C1 05', '0 C0 05', '1 91 3C 40', '9 81 3C 40']);
    expect(fit.pedalsWrittenOut).toEqual([0, 1]);
    const knows = fitted({ controllers: new Set([64, 66, 67, 69]) }, lines);
    expect([knows.rows, knows.pedalsWrittenOut]).toEqual([lines, []]);
    const half = fitted({ controllers: new Set([66, 67, 69]) }, lines);
    expect(half.pedalsWrittenOut).toEqual([1]);
  });

  test('parts, with what has none or another: those keep no program', () => {
    const note = (channel: number, key: string, on: number, off: number) => [
      `${on} 9${channel} ${key} 40`,
      `${off} 8${channel} ${key} 40`,
    ];
    // A part between for a moment: no program is put in before it, so one row comes before all.
    const lines = [
      ...['0 90 3C 40', '0 C1 05', '0 C2 06'],
      ...note(1, '40', 0, 900),
      ...['10', '20', '30'].flatMap((key) => [...note(0, key, 5, 6), ...note(1, key, 5, 6)]),
      ...note(2, '50', 500, 600),
      ...note(2, '40', 700, 710),
      '1000 80 3C 40',
    ];
    const fit = fitted({ channels: [0, 1], parts: 2, drums: NO_DRUMS }, lines);
    const rowOf = (line: string) => textOf(columnsOfText(...lines)).indexOf(line);
    expect(fit.parts!.otherProgram).toEqual([rowOf('500 92 50 40'), rowOf('700 92 40 40')]);
    expect(fit.parts!.withoutPart).toEqual([]);
    expect(fit.keeps[rowOf('500 92 50 40')]).toBe('0');
    expect(fit.keeps.split('0')).toHaveLength(3);
    const alone = fitted({ channels: [0], parts: 1, drums: NO_DRUMS }, [
      ...note(0, '3C', 0, 900),
      ...note(1, '3C', 5, 9),
      ...note(0, '3E', 1, 2),
    ]);
    expect(alone.parts!.withoutPart).toEqual([3]);
    expect(alone.keeps).toBe('111011');
    expect(
      fitted({ channels: [0, 1], parts: 2, drums: NO_DRUMS }, lines, { partsBy: 'none' }).parts,
    ).toBeUndefined();
  });

  test('drums that moved are drums there', () => {
    const drums = { ...GENERAL_MIDI.drums, channels: [3] };
    const fit = fitted({ drums }, ['0 99 24 40', '5 89 24 40']);
    expect(fit.rows).toEqual(['0 93 24 40', '5 83 24 40']);
    expect(fit.marks).toEqual({ ...GENERAL_MARKS, drumChannels: [3] });
  });

  test('bends of an instrument that cannot be told mean its own range from then on', () => {
    const deaf = { registeredParameters: new Set<number>(), bendRangeSemitones: 12 };
    const lines = ['0 C0 05', '0 E0 00 60', '1 90 3C 40', '2 80 3C 40'];
    const fit = fitted(deaf, lines);
    expect(fit.rows[1]).toBe('0 E0 2B 45');
    expect(fit.marks.bendRanges).toEqual(allBendRanges(12));
    expect(fitted({ bendRangeSemitones: 12 }, lines).marks.bendRanges).toEqual(allBendRanges(2));
  });
});

describe('voices, round by round', () => {
  // A program is put in before the first note: what is told is told as written. Of a piano the rest is worth less.
  const inside = ['0 90 3C 40', '1000 90 40 40', '2000 80 40 40', '4000 80 3C 40'];
  const organ = ['0 C0 10', ...inside];

  test('notes that end early, and notes that are left out', () => {
    const cut = fitted({ voices: 1 }, inside);
    expect(cut.rows).toEqual(['0 C0 00', '0 90 3C 40', '1000 80 3C 40', '1000 90 40 40', '2000 80 40 40']);
    expect([cut.shortened, cut.withoutVoice]).toEqual([[0], []]);
    expect(textOf(cut.unplanned.columns)).toEqual(['0 C0 00', ...inside]);
    const out = fitted({ voices: 1 }, organ);
    expect(out.rows).toEqual(['0 C0 10', '0 90 3C 40', '4000 80 3C 40']);
    expect([out.shortened, out.withoutVoice]).toEqual([[], [2]]);
  });

  test('or none of it, where voices are left to the instrument', () => {
    const fit = fitted({ voices: 1 }, organ, { planVoices: false });
    expect(fit.rows).toEqual(organ);
    expect([fit.shortened, fit.withoutVoice]).toEqual([[], []]);
  });

  test('pedals of a channel whose notes are cut are written out', () => {
    const pedal = ['0 C0 00', '0 B0 40 7F', ...inside.slice(0, 3), '3000 80 3C 40', '4000 B0 40 00'];
    const fit = fitted({ voices: 1 }, pedal);
    expect(fit.pedalsWrittenOut).toEqual([0]);
    expect(fit.rows).toEqual(['0 C0 00', '0 90 3C 40', '1000 80 3C 40', '1000 90 40 40', '4000 80 40 40']);
  });
});
