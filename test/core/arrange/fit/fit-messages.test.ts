import { describe, expect, test } from 'vitest';
import { allBendRanges } from '../../../../src/core/arrange/fit/fit-marks.ts';
import { fitMessages, NOTHING_SAID } from '../../../../src/core/arrange/fit/fit-messages.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument, ResetKind } from '../../../../src/core/instrument/instrument.ts';
import type { SystemReset } from '../../../../src/core/instrument/reset-heard.ts';
import { edited } from './rows-as-text.ts';

const MODES = ['reset-all-controllers', 'all-notes-off', 'all-sound-off'] as const;
const resets = (...known: ResetKind[]): Partial<Instrument> => ({ resets: new Set([...MODES, ...known]) });

interface Asked {
  readonly lines: readonly string[];
  readonly ranges?: readonly number[];
  readonly kept?: readonly SystemReset[];
}

const fitted = (traits: Partial<Instrument>, { lines, ranges = allBendRanges(2), kept = [] }: Asked) => {
  const instrument = { ...GENERAL_MIDI, ...traits };
  const { fit, rows, isEmpty } = edited(lines, (columns, edits) =>
    fitMessages(columns, edits, instrument, ranges, new Set(kept)),
  );
  return { ...fit, controllers: [...fit.controllers], parameters: [...fit.parameters], rows, isEmpty };
};
const of = (traits: Partial<Instrument>, ...lines: string[]) => fitted(traits, { lines });

const NOTHING = { ...NOTHING_SAID, controllers: [], parameters: [], isEmpty: true };
/** RPN 00 00, data entry, and the null parameter behind it (MIDI 1.0, p. 17). */
const range = (moment: string, channel: number, semitones: number, cents = 0): string[] =>
  [
    [101, 0],
    [100, 0],
    [6, semitones],
    [38, cents],
    [101, 127],
    [100, 127],
  ].map((data) => `${moment} ${[0xb0 | channel, ...data].map(hex).join(' ')}`);
const hex = (byte: number) => byte.toString(16).toUpperCase().padStart(2, '0');

describe('controllers an instrument does not follow', () => {
  const known = { controllers: new Set([7, 11]) };

  test('are left out and counted by their number; the others stay, banks, notes and programs among them', () => {
    const { rows, controllers } = of(
      known,
      '0 B0 07 64',
      '1 B0 01 05',
      '2 B3 01 06',
      '3 B0 0A 40',
      '4 B0 00 01',
      '5 B0 20 01',
      '6 C0 01',
      '7 90 01 40',
      '8 A0 01 40',
      '9 D0 01',
    );
    expect(rows).toEqual([
      '0 B0 07 64',
      '4 B0 00 01',
      '5 B0 20 01',
      '6 C0 01',
      '7 90 01 40',
      '8 A0 01 40',
      '9 D0 01',
    ]);
    expect(controllers).toEqual([
      [1, 2],
      [10, 1],
    ]);
  });

  test('nothing is left out where nothing is known of them', () => {
    const lines = ['0 B0 01 05', '0 B0 55 05', '0 B0 06 05', '0 B0 7A 00', '0 B0 7F 00'];
    expect(of({}, ...lines)).toEqual({ ...NOTHING, rows: lines });
  });

  test('a mode message goes by what resets are followed, whatever stands among the controllers', () => {
    const modes = ['0 B0 78 00', '0 B0 79 00', '0 B0 7B 00'];
    expect(of(known, ...modes).isEmpty).toBe(true);
    const { rows, controllers } = of({ ...known, resets: new Set(['all-notes-off'] as const) }, ...modes);
    expect(rows).toEqual(['0 B0 7B 00']);
    expect(controllers).toEqual([
      [120, 1],
      [121, 1],
    ]);
  });
});

describe('registered parameters', () => {
  const none = { registeredParameters: new Set<number>() };
  const onlyRange = { registeredParameters: new Set([0]) };
  /** Fine tuning, RPN 00 01 (MIDI 1.0, Table IIIa). */
  const tuning = ['0 B0 65 00', '0 B0 64 01', '0 B0 06 40', '0 B0 26 00', '0 B0 60 00', '0 B0 61 00'];
  const nothing = ['1 B0 65 7F', '1 B0 64 7F'];

  test('all are followed where nothing is said', () => {
    expect(of({}, ...tuning, ...nothing).isEmpty).toBe(true);
  });

  test('none is: what chooses and sets them goes, counted by the parameter it is of', () => {
    const { rows, parameters, controllers } = of(none, ...tuning, ...nothing, '2 B0 06 01', '2 B0 07 64');
    // With no parameter chosen a data entry is a controller like any other.
    expect(rows).toEqual(['2 B0 06 01', '2 B0 07 64']);
    // 101 = 0 alone chooses 0/127; 127 behind 0/1 chooses 127/1; the null parameter counts for what was chosen before.
    expect(parameters).toEqual([
      [127, 1],
      [1, 5],
      [(127 << 7) | 1, 2],
    ]);
    expect(controllers).toEqual([]);
  });

  test('one is: only entries of the others go, since a half of a choice may be half of another', () => {
    const { rows, parameters } = of(onlyRange, ...tuning, ...nothing);
    expect(rows).toEqual(['0 B0 65 00', '0 B0 64 01', ...nothing]);
    expect(parameters).toEqual([[1, 4]]);
    expect(of(onlyRange, ...range('0', 0, 12)).isEmpty).toBe(true);
  });

  test('what a profile says of controllers is nothing of them: they go by their parameter', () => {
    const controllers = new Set([7]);
    expect(of({ controllers }, ...tuning, ...nothing).isEmpty).toBe(true);
    expect(of({ ...onlyRange, controllers }, ...range('0', 0, 12)).isEmpty).toBe(true);
    const told = of({ ...none, controllers }, ...tuning);
    expect([told.controllers, told.rows]).toEqual([[], []]);
    // Entries without a parameter are controllers.
    expect(of({ controllers }, '0 B0 06 01').controllers).toEqual([[6, 1]]);
  });

  test('a number of the maker’s own is none of them, and its entries stay', () => {
    for (const nrpn of ['0 B0 63 01', '0 B0 62 01']) {
      const { rows } = of(none, '0 B0 65 00', '0 B0 64 00', nrpn, '1 B0 06 05', '1 B0 60 00');
      expect(rows).toEqual([nrpn, '1 B0 06 05', '1 B0 60 00']);
    }
  });

  test('each channel has its own choice', () => {
    const { rows } = of(none, '0 B0 65 00', '0 B0 64 00', '1 B1 06 05');
    expect(rows).toEqual(['1 B1 06 05']);
  });
});

describe('bends on an instrument of another range that can be told', () => {
  const twelve = { bendRangeSemitones: 12 };

  test('the range is put in before the first bend of each channel, in its track; at rest none is needed', () => {
    const { rows, rangesPutIn, bendsScaled, bendsMeanOwn } = of(
      twelve,
      '0 E0 00 40',
      '1/3 E2 00 41',
      '2 E2 00 42',
      '3 E0 01 40',
    );
    expect(rows).toEqual([
      '0 E0 00 40',
      ...range('1/3', 2, 2),
      '1/3 E2 00 41',
      '2 E2 00 42',
      ...range('3', 0, 2),
      '3 E0 01 40',
    ]);
    expect([rangesPutIn, bendsScaled, bendsMeanOwn]).toEqual([[0, 2], [], false]);
  });

  test('not where it is the same, or where the song says it itself', () => {
    expect(of({}, '0 E0 00 41').isEmpty).toBe(true);
    expect(fitted(twelve, { lines: ['0 E0 00 41'], ranges: allBendRanges(12) }).isEmpty).toBe(true);
    expect(of(twelve, ...range('0', 0, 7).slice(0, 3), '1 E0 00 41').isEmpty).toBe(true);
  });

  test('a range with cents has them in its fine half', () => {
    const ranges = [...allBendRanges(2).slice(1), 3.25];
    const { rows } = fitted(twelve, { lines: ['0 EF 00 41'], ranges });
    expect(rows).toEqual([...range('0', 15, 3, 25), '0 EF 00 41']);
  });

  test('what the song sets and the instrument is not told of by itself holds from there on', () => {
    // Set for another parameter: the range stays two semitones and is put in.
    const tuning = ['0 B0 65 00', '0 B0 64 01', '0 B0 06 07'];
    expect(of(twelve, ...tuning, '1 E0 00 41').rows).toEqual([...tuning, ...range('1', 0, 2), '1 E0 00 41']);
  });
});

describe('bends on an instrument that cannot be told a range', () => {
  const deaf = (semitones: number) => ({
    bendRangeSemitones: semitones,
    registeredParameters: new Set<number>(),
  });
  const bent = (semitones: number, line: string, ...before: string[]) => {
    const { rows, bendsScaled, bendsMeanOwn } = of(deaf(semitones), ...before, line);
    const [, status, low, high] = rows
      .at(-1)!
      .split(' ')
      .map((word) => Number.parseInt(word, 16));
    return { status, value: low! + high! * 128 - 8192, bendsScaled, bendsMeanOwn };
  };

  test('are made to reach as far, to the ends of its own range', () => {
    // 4096 of two semitones is one semitone: 683 of twelve, all of one, twice all of half a one.
    expect(bent(12, '0 E3 00 60')).toEqual({
      status: 0xe3,
      value: 683,
      bendsScaled: [3],
      bendsMeanOwn: true,
    });
    expect(bent(12, '0 E0 00 20').value).toBe(-683);
    expect(bent(1, '0 E0 00 60').value).toBe(8191);
    expect(bent(1, '0 E0 00 20').value).toBe(-8192);
    expect(bent(1, '0 E0 00 50').value).toBe(4096);
    // One that does not bend at all is taken to bend by a hair: every bend is to its end.
    expect(bent(0, '0 E0 40 40').value).toBe(8191);
    expect(bent(0, '0 E0 00 00').value).toBe(-8192);
    expect(bent(0, '0 E0 01 40').value).toBe(128);
  });

  test('straight stays straight, and says nothing of how bends are meant', () => {
    expect(bent(12, '0 E0 00 40')).toEqual({ status: 0xe0, value: 0, bendsScaled: [], bendsMeanOwn: false });
    expect(bent(2, '0 E0 00 60')).toEqual({ status: 0xe0, value: 4096, bendsScaled: [], bendsMeanOwn: true });
  });

  test('go by the range that the song sets, its fine half with it', () => {
    expect(bent(12, '1 E0 00 60', ...range('0', 0, 12)).value).toBe(4096);
    expect(bent(12, '1 E0 00 60', ...range('0', 0, 6)).value).toBe(2048);
    expect(bent(12, '1 E0 00 60', ...range('0', 0, 6, 50)).value).toBe(Math.round((4096 * 6.5) / 12));
    // The fine half alone keeps the semitones; a coarse one puts it back to nothing.
    const [msb, lsb, coarse] = range('0', 0, 6);
    const fine = '0 B0 26 19';
    expect(bent(10, '1 E0 00 60', msb!, lsb!, coarse!, fine, '0 B0 26 32').value).toBe(
      Math.round((4096 * 6.5) / 10),
    );
    expect(bent(10, '1 E0 00 60', msb!, lsb!, fine, coarse!).value).toBe(Math.round((4096 * 6) / 10));
    // Steps up and down are taken for what they are not: nobody says by how much they step.
    expect(bent(10, '1 E0 00 60', msb!, lsb!, '0 B0 60 00', '0 B0 61 00').value).toBe(819);
  });
});

describe('a General MIDI reset', () => {
  const ON = '1 F0 7E 7F 09 01 F7';
  const OFF = '1 F0 7E 7F 09 02 F7';
  const ON_2 = '1 F0 7E 7F 09 03 F7';
  const [before, bend] = ['0 E0 00 41', '2 E0 00 42'];

  test('that is followed stays, and bends mean two semitones on both sides behind it', () => {
    const { rows, resets: left } = of({ ...resets('gm1'), bendRangeSemitones: 12 }, before, ON, bend);
    expect(rows).toEqual([...range('0', 0, 2), before, ON, bend]);
    expect(left).toBe(0);
  });

  test('that is not followed goes, and the range is said where it would have brought two semitones back', () => {
    const twelve = range('0', 0, 12);
    const {
      rows,
      resets: left,
      parameters,
    } = of({ ...resets(), bendRangeSemitones: 12 }, ...twelve, ON, OFF, bend);
    expect(rows).toEqual([...twelve, ...range('2', 0, 2), bend]);
    expect([left, parameters]).toEqual([2, []]);
  });

  test('System Off brings no range back', () => {
    expect(of({ ...resets('gm1'), bendRangeSemitones: 12 }, ...range('0', 0, 12), OFF, bend).isEmpty).toBe(
      true,
    );
    const { rows } = of({ ...resets(), bendRangeSemitones: 12 }, ...range('0', 0, 12), OFF, bend);
    expect(rows).toEqual([...range('0', 0, 12), bend]);
  });

  test('becomes the one that is followed, each kind counted', () => {
    const { rows, resetMoves, resets: left } = of(resets('gm1'), ON, ON_2, ON_2, OFF);
    expect(rows).toEqual([ON, ON, ON, OFF]);
    expect(resetMoves).toEqual([{ from: 'gm2-on', to: 'gm-on', count: 2 }]);
    expect(left).toBe(0);
    expect(of(resets('gm2'), ON, ON_2).resetMoves).toEqual([{ from: 'gm-on', to: 'gm2-on', count: 1 }]);
  });

  test('that another instrument follows stays as it is; the range of one that can be told is as if it were left out', () => {
    const asked = { lines: [...range('0', 0, 12), ON, bend], kept: ['gm-on'] as const };
    const { rows, resets: left, resetMoves } = fitted({ ...resets(), bendRangeSemitones: 12 }, asked);
    expect(rows).toEqual([...range('0', 0, 12), ON, ...range('2', 0, 2), bend]);
    expect([left, resetMoves]).toEqual([0, []]);
    // Kept for another, and exchanged here it would be another's loss.
    expect(fitted(resets('gm2'), asked).rows).toEqual([...range('0', 0, 12), ON, ...range('2', 0, 2), bend]);
    // One that is followed here as well is a reset here as well.
    expect(fitted({ ...resets('gm1'), bendRangeSemitones: 12 }, asked).isEmpty).toBe(true);
    // Off says nothing of ranges.
    const off = { lines: [...range('0', 0, 12), OFF, bend], kept: ['gm-off'] as const };
    expect(fitted({ ...resets(), bendRangeSemitones: 12 }, off).isEmpty).toBe(true);
  });

  test('kept for another: bends of one that cannot be told mean what they meant', () => {
    const deaf = { ...resets(), bendRangeSemitones: 12, registeredParameters: new Set<number>() };
    const asked = { lines: [ON, '2 E0 00 60'], ranges: allBendRanges(12), kept: ['gm-on'] as const };
    expect(fitted(deaf, asked).rows).toEqual(asked.lines);
    // Left out: they mean two semitones behind it.
    expect(fitted(deaf, { ...asked, kept: [] }).rows).toEqual(['2 E0 2B 45']);
  });

  test('other system messages stay', () => {
    const lines = ['0 F0 7E 7F 06 01 F7', '0 F0 7D 09 01 F7', '0 F7 01 02'];
    expect(of(resets(), ...lines)).toMatchObject({ rows: lines, isEmpty: true, resets: 0 });
  });
});

test('mode messages that are not followed are written out where they stand', () => {
  const { rows, resetsWrittenOut } = of(
    { resets: new Set(['gm1'] as const) },
    '0 B0 0B 14',
    '0 90 3C 40',
    '1/1 B0 79 00',
    '2 B0 7B 00',
    '3 80 3C 40',
  );
  expect(rows).toEqual(['0 B0 0B 14', '0 90 3C 40', '1/1 B0 0B 7F', '2 80 3C 40', '3 80 3C 40']);
  expect(resetsWrittenOut).toBe(2);
});

test('behind a system reset that is followed nothing is left of what was held or set', () => {
  const { resetsWrittenOut } = of(
    { resets: new Set(['gm1'] as const) },
    '0 B0 0B 14',
    '0 90 3C 40',
    '1 F0 7E 7F 09 01 F7',
    '2 B0 79 00',
    '3 B0 7B 00',
  );
  expect(resetsWrittenOut).toBe(0);
});
