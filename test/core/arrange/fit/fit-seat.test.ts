import { describe, expect, test } from 'vitest';
import { GENERAL_MARKS } from '../../../../src/core/arrange/fit/fit-marks.ts';
import { fitSeat } from '../../../../src/core/arrange/fit/fit-seat.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../../src/core/instrument/instrument.ts';
import { columnsOfText, END, textOf } from './rows-as-text.ts';

const NO_DRUMS = { channels: [], keys: new Map<number, string>(), kits: new Map<number, string>() };

function seated(
  traits: Partial<Instrument>,
  channels: readonly number[],
  lines: readonly string[],
  keep = 1,
) {
  const seat = { port: 'a', channels, instrument: { ...GENERAL_MIDI, ...traits } };
  const options = { keep, keptResets: new Set<never>() };
  const fit = fitSeat(seat, columnsOfText(...lines), END, GENERAL_MARKS, options);
  return { ...fit, rows: textOf(fit.fitted.columns), seatGiven: seat };
}

/** An organ: a long note and a short one inside it, on two channels. */
const ORGANS = [
  ...['0 C0 10', '0 C1 10', '0 90 3C 40', '1000 91 40 40'],
  ...['2000 81 40 40', '4000 80 3C 40'],
];

describe('what goes to one instrument', () => {
  test('is what its channels send, heard as far as they are reached: nothing is planned for the others', () => {
    const both = seated({ voices: 1 }, [0, 1], ORGANS);
    expect(both.rows).toEqual(['0 C0 10', '0 C1 10', '0 90 3C 40', '4000 80 3C 40']);
    expect(both.fitted.withoutVoice).toEqual([3]);
    const one = seated({ voices: 1 }, [1], ORGANS);
    expect(one.rows).toEqual(['0 C1 10', '1000 91 40 40', '2000 81 40 40']);
    expect(one.fitted.columns).toBe(one.written);
    expect(Array.from(one.rowOf)).toEqual([1, 3, 4]);
    expect(one.seat).toBe(one.seatGiven);
    // A channel that it hears and that goes to another port is no place for what it does not hear.
    const deaf = seated({ channels: [0], parts: 1 }, [1], ORGANS);
    expect(deaf).toMatchObject({ before: { notes: 1, notesCut: 1, lossPercent: 100 }, after: { notes: 0 } });
    expect(deaf.fitted.parts!.withoutPart).toEqual([1]);
  });

  test('what it was and what it is: less is lost, and no note is cut', () => {
    const { before, after, judge } = seated({ voices: 1 }, [0, 1], ORGANS);
    expect([before.notes, before.notesCut, after.notes, after.notesCut]).toEqual([2, 1, 1, 0]);
    expect(after.lossPercent).toBeLessThan(before.lossPercent);
    expect([before.mostVoices, after.mostVoices, before.parts, after.parts]).toEqual([2, 1, 2, 1]);
    expect(judge.notes.count).toBe(2);
  });
});

describe('of several ways the first that loses no more than what was written', () => {
  const note = (channel: number, key: string, velocity: string, on: number, off: number) => [
    `${on} 9${channel} ${key} ${velocity}`,
    `${off} 8${channel} ${key} 40`,
  ];

  test('where parts by notes lose more than the song by itself, parts go by what is worth most', () => {
    // Channel 1 is heard and loud; channel 2 is not, and has more notes that are hardly heard.
    const lines = [
      ...['0 C0 10', '0 C1 11'],
      ...note(0, '3C', '7F', 0, 4000),
      ...[10, 20, 30, 40].flatMap((on) => note(1, '3C', '01', on, on + 5)),
    ];
    const { before, after, fitted } = seated({ channels: [0], parts: 1, drums: NO_DRUMS }, [0, 1], lines);
    expect(after.lossPercent).toBeLessThanOrEqual(before.lossPercent);
    expect(fitted.parts!.moves).toEqual([]);
    expect(textOf(fitted.columns)).toEqual(['0 C0 10', '0 90 3C 7F', '4000 80 3C 40']);
  });

  test('where nothing has to be done nothing is', () => {
    const { written, fitted, before, after } = seated({}, [0, 1], ORGANS);
    expect(fitted.columns).toBe(written);
    expect(Array.from(fitted.origin)).toEqual([0, 1, 2, 3, 4, 5]);
    expect(after).toEqual(before);
    expect(before.lossPercent).toBe(0);
  });
});
