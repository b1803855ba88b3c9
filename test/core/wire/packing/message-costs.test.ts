import { describe, expect, test } from 'vitest';
import { MessageCosts } from '../../../../src/core/wire/packing/message-costs.ts';
import { type PackOptions, packSettings } from '../../../../src/core/wire/packing/pack-options.ts';
import { MIDI_WIRE, type WireTraits } from '../../../../src/core/wire/wire-traits.ts';
import { columnsOf } from '../columns-of.ts';

/** A byte takes 320 µs. */
const BYTE = 320;
const RESTING = {
  ...MIDI_WIRE,
  gapMicros: 100,
  betweenBytesMicros: 30,
  afterProgramMicros: 5000,
  afterSysExMicros: 7000,
};

function costOf(message: string, traits: WireTraits = MIDI_WIRE, options: PackOptions = {}): number {
  return new MessageCosts(columnsOf([0, message]), traits, packSettings(options)).at(0);
}

describe('the time a message takes on the wire', () => {
  test('is that of its bytes: programs and channel pressure have two, the other channel messages three', () => {
    const kinds = ['80 00 00', '9F 00 00', 'A0 00 00', 'B0 00 00', 'C0 00', 'CF 00', 'D0 00', 'EF 00 00'];
    expect(kinds.map((message) => costOf(message) / BYTE)).toEqual([3, 3, 3, 3, 2, 2, 2, 3]);
  });

  test('and of what its receiver rests after it: a program more than the others', () => {
    expect(costOf('B0 07 40', RESTING)).toBe(3 * 350 + 100);
    for (const program of ['C0 05', 'C1 05', 'CF 05'])
      expect(costOf(program, RESTING)).toBe(2 * 350 + 100 + 5000);
    expect(costOf('D0 05', RESTING)).toBe(2 * 350 + 100);
  });

  test('a SysEx takes its bytes with its F0, a reset the settle time too', () => {
    const VOLUME = 'F0 7F 7F 04 01 00 40 F7';
    const RESET = 'F0 7E 7F 09 01 F7';
    const settle = { settleMicros: 50_000 };
    expect(costOf(VOLUME)).toBe(8 * BYTE);
    expect(costOf(VOLUME, MIDI_WIRE, settle)).toBe(8 * BYTE);
    expect(costOf(RESET)).toBe(6 * BYTE);
    expect(costOf(RESET, MIDI_WIRE, settle)).toBe(6 * BYTE + 50_000);
    expect(costOf(VOLUME, RESTING, settle)).toBe(8 * 350 + 100 + 7000);
    expect(costOf(RESET, RESTING, settle)).toBe(6 * 350 + 100 + 50_000);
  });

  test('what is held back takes none', () => {
    const OWN = 'F0 7D 01 02 F7';
    expect(costOf(OWN)).toBe(0);
    expect(costOf(OWN, MIDI_WIRE, { allowSysEx: true })).toBe(5 * BYTE);
    const ESCAPE = 'F7 FA';
    expect(costOf(ESCAPE)).toBe(0);
    expect(costOf(ESCAPE, MIDI_WIRE, { allowSysEx: true })).toBe(BYTE);
  });

  test('each SysEx has its own', () => {
    const columns = columnsOf([0, 'F0 7E 7F 09 01 F7', 'B0 07 40', 'F0 7F 7F 04 01 00 40 F7', 'F0 7D F7']);
    const costs = new MessageCosts(columns, MIDI_WIRE, packSettings({}));
    expect([0, 1, 2, 3].map((row) => costs.at(row) / BYTE)).toEqual([6, 3, 8, 0]);
  });
});
