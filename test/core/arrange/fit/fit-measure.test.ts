import { describe, expect, test } from 'vitest';
import { GENERAL_MARKS } from '../../../../src/core/arrange/fit/fit-marks.ts';
import { FitJudge } from '../../../../src/core/arrange/fit/fit-measure.ts';
import { heardValue } from '../../../../src/core/arrange/fit/heard-value.ts';
import { NEW_ROW } from '../../../../src/core/arrange/fit/row-edits.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../../src/core/instrument/instrument.ts';
import { columnsOfText, END } from './rows-as-text.ts';

/** An organ dies away in four seconds, drums in a quarter; both notes here are melody and weigh twice. */
const [ORGAN, DRUM] = [4, 0.25];
const LOUD = ((0x40 * 100 * 127) / 127 ** 3) ** 1.2;
const ORGAN_SONG = [
  ...['0 C0 10', '0 90 3C 40', '1000 90 40 40'],
  ...['2000 80 40 40', '4000 80 3C 40', '5000 99 24 40', '5100 89 24 40'],
];

function judged(traits: Partial<Instrument>, written: readonly string[]) {
  const columns = columnsOfText(...written);
  const judge = new FitJudge(columns, END, { ...GENERAL_MIDI, ...traits }, GENERAL_MARKS);
  const measured = (sent: readonly string[], origin: readonly number[], marks = GENERAL_MARKS) =>
    judge.measure({ columns: columnsOfText(...sent), origin: Uint32Array.from(origin), marks });
  return {
    columns,
    judge,
    measured,
    asWritten: () =>
      measured(
        written,
        written.map((_, row) => row),
      ),
  };
}

const worth = (seconds: number, whole: number, decay: number) => 2 * LOUD * heardValue(seconds, whole, decay);

describe('how a song fares', () => {
  test('where there is room nothing is lost; drums are heard for half a second, whatever their note-off says', () => {
    const { judge, asWritten } = judged({}, [...ORGAN_SONG, '6000 99 24 40']);
    const expected = [worth(4, 4, ORGAN), worth(1, 1, ORGAN), worth(0.1, 0.1, DRUM), worth(0.5, 0.5, DRUM)];
    for (const [note, one] of expected.entries()) expect(judge.worth[note]).toBeCloseTo(one, 12);
    expect(asWritten()).toEqual({
      ...{ notes: 4, notesCut: 0, lossPercent: 0, mostVoices: 2, parts: 1 },
      lost: new Float64Array(4),
    });
  });

  test('what is cut is lost from there on, in percent of all that is worth hearing', () => {
    const { judge, measured, asWritten } = judged({ voices: 1 }, ORGAN_SONG);
    const measure = asWritten();
    const cut = worth(4, 4, ORGAN) - worth(1, 4, ORGAN);
    const all = worth(4, 4, ORGAN) + worth(1, 1, ORGAN) + worth(0.1, 0.1, DRUM);
    expect(measure.lost[0]).toBeCloseTo(cut, 12);
    expect(measure.lossPercent).toBeCloseTo((100 * cut) / all, 9);
    expect([measure.notesCut, measure.mostVoices, measure.parts]).toEqual([1, 2, 1]);
    expect(
      judge.lossPercent({
        columns: columnsOfText(...ORGAN_SONG),
        origin: Uint32Array.of(0, 1, 2, 3, 4, 5, 6),
        marks: GENERAL_MARKS,
      }),
    ).toBe(measure.lossPercent);
    // Another version leaves the second out: it is lost whole, and the first is heard whole.
    const less = measured(
      ['0 C0 10', '0 90 3C 40', '4000 80 3C 40', '5000 99 24 40', '5100 89 24 40'],
      [0, 1, 4, 5, 6],
    );
    expect(less.lossPercent).toBeCloseTo((100 * worth(1, 1, ORGAN)) / all, 9);
    expect([less.notes, less.notesCut, less.mostVoices]).toEqual([2, 0, 1]);
  });

  test('what is longer than it was loses nothing; a note that was put in is none of the song’s', () => {
    const { measured } = judged({}, ORGAN_SONG);
    const longer = measured(
      [
        '0 C0 10',
        '0 90 3C 40',
        '1000 90 40 40',
        '3000 80 40 40',
        '3500 92 30 40',
        '4500 80 3C 40',
        '5000 99 24 40',
      ],
      [0, 1, 2, 3, NEW_ROW, 4, 5],
    );
    expect(longer).toMatchObject({ notes: 4, lossPercent: 0, parts: 2 });
  });

  test('what is not sounded is lost whole, and counted with what is cut', () => {
    const { judge, asWritten } = judged({ keys: { low: 0x3d, high: 127 }, voices: 1 }, ORGAN_SONG);
    const { lost, notesCut, lossPercent } = asWritten();
    expect(Array.from(lost)).toEqual([judge.worth[0], 0, 0]);
    expect(notesCut).toBe(1);
    const sum = judge.worth.reduce((all, one) => all + one, 0);
    expect(lossPercent).toBeCloseTo((100 * judge.worth[0]!) / sum, 9);
  });

  test('a song that is worth nothing loses nothing', () => {
    expect(judged({}, ['0 C0 10']).asWritten()).toMatchObject({
      notes: 0,
      lossPercent: 0,
      mostVoices: 0,
      parts: 0,
    });
    expect(judged({}, ['0 B0 07 00', '0 90 3C 40']).asWritten().lossPercent).toBe(0);
  });

  test('a note weighs what it weighs as it is sent, before voices are planned; one that is sent no more, as written', () => {
    // As written both sound at once and are melody; as sent the second is struck on the key of the first, softer.
    const written = [
      '0 C0 10',
      '0 90 3C 60',
      '0 91 40 30',
      '0 92 43 30',
      '0 93 48 30',
      '1000 80 3C 40',
      '1000 81 40 40',
    ];
    const columns = columnsOfText(...written);
    const sentColumns = columnsOfText(
      '0 C0 10',
      '0 90 3C 60',
      '0 91 3C 30',
      '1000 80 3C 40',
      '1000 81 3C 40',
    );
    const judge = new FitJudge(sentColumns, END, GENERAL_MIDI, GENERAL_MARKS);
    const sent = {
      columns: sentColumns,
      origin: Uint32Array.of(NEW_ROW, 1, 2, 5, 6),
      marks: GENERAL_MARKS,
      judge,
    };
    const alone = new FitJudge(columns, END, GENERAL_MIDI, GENERAL_MARKS);
    const weighed = new FitJudge(columns, END, GENERAL_MIDI, GENERAL_MARKS, sent);
    const ratios = Array.from(weighed.worth, (one, note) => one / alone.worth[note]!);
    // Bottom (1.5) became top (2), inner (1) a unison double (0.3), and two were not sent.
    expect(ratios.map((ratio) => Math.round(ratio * 1e9) / 1e9)).toEqual([1.333333333, 0.3, 1, 1]);
  });
});
