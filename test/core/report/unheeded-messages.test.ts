import { describe, expect, test } from 'vitest';
import { GENERAL_MIDI } from '../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../src/core/instrument/instrument.ts';
import type { SystemReset } from '../../../src/core/instrument/reset-heard.ts';
import type { FindingTally } from '../../../src/core/report/finding-tally.ts';
import { UnheededMessages } from '../../../src/core/report/unheeded-messages.ts';
import { hex } from '../../support/hex.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

/** A box that heeds nothing it is not told to, on channels 1, 2 and 10; bends go two semitones. */
const BOX: Instrument = {
  ...GENERAL_MIDI,
  channels: [0, 1, 9],
  controllers: new Set([7]),
  registeredParameters: new Set([1]),
  resets: new Set(),
};

/** What is found in messages one after another, as `code channel (details) count`; −1 where it is no channel's. */
function found(
  messages: string,
  instrument: Partial<Instrument> = {},
  others: readonly SystemReset[] = [],
): string[] {
  const columns = timelineOf(messages.split('|').map((one, n): TimedBytes => [n * 1000, ...hex(one)]));
  const list: string[] = [];
  const tally = {
    add: (code: string, channel: number, row: number, detail: string, count = 1) =>
      list.push(`${row}: ${code} ${channel} ${detail} ${count}`),
  } as unknown as FindingTally;
  const unheeded = new UnheededMessages(columns, { ...BOX, ...instrument }, tally, new Set(others));
  for (let row = 0; row < columns.count; row += 1) unheeded.take(row);
  return list;
}

describe('controllers', () => {
  test('one that is followed, one that is not, and one on a channel that is not heard', () => {
    expect(found('B0 07 01 | B1 5B 01 | B2 5B 01')).toEqual(['1: controller-not-followed 1 Reverb Send 1']);
    expect(found('B0 5B 01', { controllers: undefined })).toEqual([]);
  });

  test('bank select and what selects and enters parameters are judged elsewhere', () => {
    const all = [0, 32, 6, 38, 96, 97, 98, 99, 100, 101].map(
      (n) => `B0 ${n.toString(16).padStart(2, '0')} 7F`,
    );
    expect(found(all.join('|'))).toEqual([]);
    expect(found('B0 01 00 | B0 21 00 | B0 5F 00 | B0 66 00')).toHaveLength(4);
  });

  test('mode messages are resets, if they are followed as such', () => {
    expect(found('B0 78 00 | B0 79 00 | B0 7B 00').map((line) => line.split(' ')[1])).toEqual(
      Array.from({ length: 3 }, () => 'reset-not-followed'),
    );
    expect(found('B0 79 00', { resets: new Set(['reset-all-controllers']) })).toEqual([]);
  });
});

describe('registered parameters (MIDI 1.0, Table IIIa)', () => {
  const select = (msb: string, lsb: string) => `B0 65 ${msb} | B0 64 ${lsb} | B0 06 03`;

  test.each([
    ['00', '00', '2: parameter-not-followed 0 bend range 1'],
    ['00', '01', undefined],
    ['00', '02', '2: parameter-not-followed 0 coarse tuning 1'],
    ['00', '05', '2: parameter-not-followed 0 modulation depth 1'],
    ['01', '02', '2: parameter-not-followed 0 1/2 1'],
    ['7F', '7F', undefined],
  ])('%s %s', (msb, lsb, line) => {
    expect(found(select(msb, lsb))).toEqual(line === undefined ? [] : [line]);
  });

  test('either half may be changed alone', () => {
    expect(
      found(`${select('01', '02')} | B0 64 05 | B0 06 00 | B0 65 02 | B0 06 00`).map(
        (line) => line.split(' ')[3],
      ),
    ).toEqual(['1/2', '1/5', '2/5']);
  });

  test('where another kind is selected, or nothing was, nothing is entered', () => {
    expect(found('B0 06 03')).toEqual([]);
    for (const other of ['B0 63 00', 'B0 62 00'])
      expect(found(`B0 65 00 | B0 64 02 | ${other} | B0 06 03`)).toEqual([]);
  });

  test('each channel has its own selection', () => {
    expect(found('B0 65 00 | B0 64 02 | B1 06 03 | B0 06 03')).toEqual([
      '3: parameter-not-followed 0 coarse tuning 1',
    ]);
  });
});

describe('bends', () => {
  const BEND = 'E0 00 50';
  const TWELVE = 'B0 65 00 | B0 64 00 | B0 06 0C';

  test('of the range that was meant are none; of another they concern each note under them', () => {
    expect(found(`${BEND} | 90 3C 01`)).toEqual([]);
    const meant = 'bend-range 0 (12 semitones here, 2 meant)';
    expect(found(`${BEND} | 90 3C 01 | 80 3C 00 | 90 3D 00`, { bendRangeSemitones: 12 })).toEqual([
      `0: ${meant} 0`,
      `1: ${meant} 1`,
    ]);
    expect(found(`E0 00 40 | 90 3C 01`, { bendRangeSemitones: 12 })).toEqual([]);
    expect(found(`E0 01 40 | E0 00 40 | 90 3C 01`, { bendRangeSemitones: 12 })).toEqual([`0: ${meant} 0`]);
    expect(found('E1 00 50 | 90 3C 01', { bendRangeSemitones: 12 })).toHaveLength(1);
  });

  test('a range that the song sets is in force where the parameter is followed', () => {
    expect(found(`${TWELVE} | ${BEND} | 90 3C 01`, { registeredParameters: new Set([0]) })).toEqual([]);
    expect(found(`${TWELVE} | ${BEND}`)).toEqual([
      '2: parameter-not-followed 0 bend range 1',
      '3: bend-range 0 (2 semitones here, 12 meant) 0',
    ]);
    expect(found(`${TWELVE} | E1 00 50`, { registeredParameters: undefined })).toEqual([]);
  });

  test('General MIDI On brings back two semitones where it is followed; Off leaves the range open (GM1)', () => {
    const behind = (sub: string, resets: Instrument['resets']) =>
      found(`${TWELVE} | F0 7E 7F 09 ${sub} F7 | ${BEND}`, { registeredParameters: undefined, resets });
    expect(behind('01', new Set(['gm1']))).toEqual([]);
    expect(behind('02', new Set(['gm1']))).toEqual([]);
    expect(behind('01', new Set())).toEqual([
      '3: reset-not-followed -1 General MIDI System On 1',
      '4: bend-range 0 (12 semitones here, 2 meant) 0',
    ]);
  });
});

describe('system resets', () => {
  const GM_ON = 'F0 7E 7F 09 01 F7';

  test('one that is not followed, one for which there is another, one that is meant for others', () => {
    expect(found(GM_ON)).toEqual(['0: reset-not-followed -1 General MIDI System On 1']);
    expect(found(GM_ON, { resets: new Set(['gm2']) })).toEqual([
      '0: reset-not-followed -1 General MIDI System On but General MIDI 2 System On 1',
    ]);
    expect(found(GM_ON, { resets: new Set(['gm1']) })).toEqual([]);
    expect(found(GM_ON, {}, ['gm-on'])).toEqual([]);
    expect(found(GM_ON, {}, ['gm2-on'])).toHaveLength(1);
    expect(found('F0 7E 7F 06 01 F7')).toEqual([]);
  });
});
