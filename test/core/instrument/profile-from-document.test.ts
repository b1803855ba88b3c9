import { describe, expect, test } from 'vitest';
import { findProgram } from '../../../src/core/instrument/find-program.ts';
import { GENERAL_MIDI_2 } from '../../../src/core/instrument/general-midi-2.ts';
import { GENERAL_MIDI } from '../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../src/core/instrument/instrument.ts';
import type { ProfileDocument } from '../../../src/core/instrument/profile-document.ts';
import { profileFromDocument } from '../../../src/core/instrument/profile-from-document.ts';
import { lanesSoundName, soundName } from '../../../src/core/instrument/sound-names.ts';

function instrumentOf(document: ProfileDocument): Instrument {
  const profile = profileFromDocument(document);
  if (!('instrument' in profile)) throw new Error(profile[0]!.what);
  return profile.instrument;
}

const complaintOf = (document: ProfileDocument) => {
  const result = profileFromDocument(document);
  return 'instrument' in result ? undefined : result[0];
};

describe('a profile', () => {
  test('that says nothing is General MIDI Level 1 but for its name', () => {
    expect({ ...instrumentOf({}), name: GENERAL_MIDI.name }).toEqual(GENERAL_MIDI);
  });

  test('General MIDI Level 1 (RP-003): 24 voices, 16 channels, drums on channel 10, every key, bends of two semitones', () => {
    const { voices, parts, channels, drums, keys, bendRangeSemitones, banks } = GENERAL_MIDI;
    expect({ voices, parts, keys, bendRangeSemitones }).toEqual({
      ...{ voices: 24, parts: 16, keys: { low: 0, high: 127 }, bendRangeSemitones: 2 },
    });
    expect([channels, drums.channels]).toEqual([Array.from({ length: 16 }, (_, channel) => channel), [9]]);
    expect(banks[0]!.programs.map(({ number, like, voicesEach }) => number === like && voicesEach)).toEqual(
      Array.from({ length: 128 }, () => 1),
    );
  });

  test('counts from 1 where people do, and from 0 on the wire', () => {
    const { channels, banks, drums, keys, releaseMicros } = instrumentOf({
      instrument: { channels: [2, 1], keys: [36, 96], 'release-ms': 250 },
      bank: [{ program: [{ number: 5, name: 'Horns', like: 61 }] }],
      drums: { channels: [2], keys: { 36: 'Thump' }, kits: { 1: 'Tin' } },
    });
    expect(channels).toEqual([0, 1]);
    expect(banks[0]!.programs).toEqual([
      { number: 4, name: 'Horns', like: 60, keys: undefined, voicesEach: 1 },
    ]);
    expect(drums).toEqual({ channels: [1], keys: new Map([[36, 'Thump']]), kits: new Map([[0, 'Tin']]) });
    expect(keys).toEqual({ low: 36, high: 96 });
    expect(releaseMicros).toBe(250_000);
  });

  test('a list of names is numbered from count-from, and has no sound where the name is empty', () => {
    const [bank] = instrumentOf({ bank: [{ 'count-from': 0, programs: ['A', '', 'C'] }] }).banks;
    expect(bank!.programs.map(({ number, name }) => [number, name])).toEqual([
      [0, 'A'],
      [2, 'C'],
    ]);
  });

  test.each<[string, ProfileDocument, string]>([
    [
      'banks of the same select',
      {
        bank: [
          { msb: 1, programs: ['A'] },
          { msb: 1, lsb: 2, programs: ['B'] },
        ],
      },
      'same select',
    ],
    [
      'a bank that nothing selects',
      {
        bank: [
          { msb: 1, programs: ['A'] },
          { name: 'Lost', programs: ['B'] },
        ],
      },
      'nothing selects the bank "Lost"',
    ],
    ['a bank without programs', { bank: [{ msb: 1 }] }, 'no programs'],
    ['a program twice', { bank: [{ programs: ['A'], program: [{ number: 1 }] }] }, 'twice'],
    ['a program that cannot be', { bank: [{ program: [{ number: 0 }] }] }, 'no program 0'],
    ['keys the wrong way round', { instrument: { keys: [90, 20] } }, 'below its beginning'],
    ['drums where it is deaf', { instrument: { channels: [1] }, drums: { channels: [10] } }, 'does not hear'],
  ])('%s: is told, with its place', (_, document, what) => {
    const complaint = complaintOf(document)!;
    expect(complaint.what).toContain(what);
    expect(complaint.path.length).toBeGreaterThan(1);
    expect(complaint.nextStep).not.toBe('');
  });

  test('two banks may share a select where no program is in both', () => {
    expect(
      complaintOf({
        bank: [
          { msb: 1, lsb: 0, programs: ['A'] },
          { msb: 1, lsb: 0, programs: ['', 'B'] },
        ],
      }),
    ).toBeUndefined();
  });
});

describe('a profile, field by field', () => {
  test('what is said is taken, in the units of the wire', () => {
    const document: ProfileDocument = {
      instrument: {
        ...{ name: 'Box', voices: 9, parts: 3, channels: [16, 1, 1], keys: [0, 127], full: 'newest' },
        ...{ 'release-ms': 1.5, 'bend-range': 7, controllers: [7, 7], rpn: ['0/0', '1/2'], resets: ['gm2'] },
        ...{ 'running-status': false, 'voices-each': 2, quirks: ['Hums.'] },
        pauses: {
          'after-reset-ms': 0,
          'after-program-ms': 0.5,
          'after-sysex-ms': 2,
          'between-bytes-ms': 0.0004,
        },
      },
      bank: [
        { name: 'A', msb: 1, lsb: 0, 'general-midi': true, program: [] },
        { lsb: 2, programs: ['X'], program: [{ number: 128, 'voices-each': 1, keys: [36, 36] }] },
      ],
    };
    const { banks, drums, ...rest } = instrumentOf(document);
    expect(rest).toEqual({
      ...{ name: 'Box', voices: 9, parts: 3, channels: [0, 15], keys: { low: 0, high: 127 }, full: 'newest' },
      ...{ releaseMicros: 1500, bendRangeSemitones: 7, runningStatus: false, quirks: ['Hums.'] },
      ...{ controllers: new Set([7]), registeredParameters: new Set([0, 130]), resets: new Set(['gm2']) },
      pauses: { afterResetMicros: 0, afterProgramMicros: 500, afterSysExMicros: 2000, betweenBytesMicros: 0 },
    });
    // Channel 10 is not heard, so there are no drums.
    expect(drums.channels).toEqual([]);
    expect(banks.map(({ name, msb, lsb, programs }) => [name, msb, lsb, programs.length])).toEqual([
      ['A', 1, 0, 128],
      ['Bank 2', undefined, 2, 2],
    ]);
    expect(banks[0]!.programs[127]).toEqual({
      number: 127,
      name: 'Gunshot',
      like: 127,
      keys: undefined,
      voicesEach: 2,
    });
    expect(banks[1]!.programs).toEqual([
      { number: 0, name: 'X', like: undefined, keys: undefined, voicesEach: 2 },
      { number: 127, name: 'Program 128', like: undefined, keys: { low: 36, high: 36 }, voicesEach: 1 },
    ]);
  });

  test('of General MIDI’s sounds each takes as many voices as is said', () => {
    const { banks } = instrumentOf({ instrument: { 'voices-each': 24 } });
    expect(new Set(banks[0]!.programs.map(({ voicesEach }) => voicesEach))).toEqual(new Set([24]));
    expect(instrumentOf({ instrument: { channels: [1, 2] } }).parts).toBe(2);
  });

  test('what was said is known, by its name in the file', () => {
    const said = (document: ProfileDocument) => {
      const profile = profileFromDocument(document);
      return 'instrument' in profile ? [...profile.said].sort() : [];
    };
    expect(said({})).toEqual([]);
    expect(
      said({ instrument: { voices: 1, pauses: { 'after-reset-ms': 1 } }, bank: [{ programs: ['A'] }] }),
    ).toEqual(['bank', 'pauses.after-reset-ms', 'voices']);
    expect(said({ drums: { channels: [], keys: { 36: 'A' } } })).toEqual(['drums.channels', 'drums.keys']);
  });

  test.each<[ProfileDocument, (string | number)[], string, string]>([
    [
      { instrument: { voices: 2, 'voices-each': 3 } },
      ['instrument', 'voices-each'],
      ...(['a sound takes 3 of 2 voices', 'lower it, or raise voices'] as const),
    ],
    [
      { instrument: { keys: [61, 60] } },
      ['instrument', 'keys'],
      ...(['the range ends (60) below its beginning (61)', 'write [lowest, highest]'] as const),
    ],
    [
      { bank: [{ programs: ['A'], program: [{ number: 2, keys: [5, 4] }] }] },
      ['bank', 0, 'program', 0, 'keys'],
      ...(['the range ends (4) below its beginning (5)', 'write [lowest, highest]'] as const),
    ],
    [
      { bank: [{ program: [{ number: 1 }, { number: 129 }] }] },
      ['bank', 0, 'program', 1],
      ...(['there is no program 129', 'count from 1 to 128, or set count-from'] as const),
    ],
    [
      { instrument: { 'count-from': 0 }, bank: [{ program: [{ number: 128 }] }] },
      ['bank', 0, 'program', 0],
      ...(['there is no program 128', 'count from 0 to 127, or set count-from'] as const),
    ],
    [
      { bank: [{ 'general-midi': true, program: [{ number: 5 }] }] },
      ['bank', 0, 'program', 0],
      ...(['program 5 is there twice', 'leave one of them out'] as const),
    ],
    [
      { drums: { kits: { 129: 'Odd' } } },
      ['drums', 'kits', '129'],
      ...(['there is no program of this number', 'count from 1'] as const),
    ],
    [
      { drums: { kits: { 0: 'Odd' } } },
      ['drums', 'kits', '0'],
      ...(['there is no program of this number', 'count from 1'] as const),
    ],
    [
      { instrument: { channels: [1, 2] }, drums: { channels: [2, 10, 11] } },
      ['drums', 'channels'],
      ...(['drums on channel 10, which it does not hear', 'add it to channels'] as const),
    ],
  ])('%j is told', (document, path, what, nextStep) => {
    expect(complaintOf(document)).toEqual({ path, what, nextStep });
  });

  test.each<[ProfileDocument]>([
    [{ instrument: { voices: 3, 'voices-each': 3 } }],
    [{ bank: [{ program: [{ number: 1 }, { number: 128 }] }] }],
    [{ bank: [{ 'count-from': 0, program: [{ number: 0 }, { number: 127 }] }] }],
    [{ drums: { kits: { 1: 'A', 128: 'B' } } }],
    [{ instrument: { 'count-from': 0 }, drums: { kits: { 0: 'A', 127: 'B' } } }],
  ])('%j is sound', (document) => {
    expect(complaintOf(document)).toBeUndefined();
  });
});

describe('what an instrument has for a bank and a program', () => {
  const two = instrumentOf({
    bank: [
      { msb: 0, lsb: 0, programs: ['A', 'B'] },
      { msb: 0, lsb: 1, programs: ['C'] },
    ],
  });

  test('no select is bank 0', () => {
    expect(findProgram(two, -1, -1, 1)).toMatchObject({ kind: 'found', program: { name: 'B' } });
    expect(findProgram(two, 0, 1, 0)).toMatchObject({ program: { name: 'C' } });
    expect(findProgram(two, 0, 1, 1)).toEqual({ kind: 'no-program' });
    expect(findProgram(two, 8, 0, 1)).toEqual({ kind: 'no-bank' });
  });

  test('General MIDI 1 heeds no bank select', () => {
    expect(findProgram(GENERAL_MIDI, 8, 3, 56)).toMatchObject({ program: { name: 'Trumpet' } });
  });

  // RP-024 (1999): bank 121 is melodic, its LSB the variation; GM1's set is 121/0; 32 voices; nine drum sets.
  test('General MIDI 2 has its banks', () => {
    expect(findProgram(GENERAL_MIDI_2, 121, 0, 56)).toMatchObject({ program: { name: 'Trumpet' } });
    expect(findProgram(GENERAL_MIDI_2, 121, 1, 56)).toMatchObject({ program: { name: 'Trumpet, varied' } });
    expect(findProgram(GENERAL_MIDI_2, 5, 0, 56)).toEqual({ kind: 'no-bank' });
    // A song for Level 1 selects bank 0.
    expect(findProgram(GENERAL_MIDI_2, 0, 7, 56)).toMatchObject({ program: { name: 'Trumpet' } });
    expect(findProgram(GENERAL_MIDI_2, 1, 0, 56)).toEqual({ kind: 'no-bank' });
    expect(GENERAL_MIDI_2.voices).toBe(32);
    expect(GENERAL_MIDI_2.drums.kits.size).toBe(9);
  });
});

describe('names on a lane', () => {
  const own = instrumentOf({
    bank: [
      {
        program: [
          { number: 57, name: 'Solo Copper', like: 57 },
          { number: 1, name: 'Acoustic Grand Piano' },
        ],
      },
    ],
    drums: { channels: [1], keys: { 38: 'Snap' } },
  });

  test('its own with the wish beside it, where they differ', () => {
    expect(lanesSoundName(own, 1, -1, -1, 56)).toBe('Solo Copper (Trumpet)');
    expect(lanesSoundName(own, 1, -1, -1, 0)).toBe('Acoustic Grand Piano');
    expect(lanesSoundName(own, 1, -1, -1, 40)).toBe('no Violin');
  });

  test('drum keys by name where it plays drums', () => {
    expect(soundName(own, 0, 38)).toBe('Snap');
    expect(soundName(own, 9, 38)).toBe('D2');
  });
});
