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
