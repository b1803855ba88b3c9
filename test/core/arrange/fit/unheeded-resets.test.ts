import { describe, expect, test } from 'vitest';
import { UnheededResets } from '../../../../src/core/arrange/fit/unheeded-resets.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../../src/core/instrument/instrument.ts';
import { edited } from './rows-as-text.ts';

/** The rows that are put in, and how many are told. */
function putIn(traits: Partial<Instrument>, lines: readonly string[]) {
  const instrument = { ...GENERAL_MIDI, resets: new Set<never>(), ...traits };
  const { fit, rows } = edited(lines, (columns, edits) => {
    const resets = new UnheededResets(columns, edits, instrument);
    for (let row = 0; row < columns.count; row += 1) {
      resets.take(row);
      if (columns.status[row] === 0xf0) resets.takeSystemReset();
    }
    return resets.writtenOut;
  });
  const given = [...lines];
  const added = rows.filter((row) => {
    const at = given.indexOf(row);
    if (at >= 0) given.splice(at, 1);
    return at < 0;
  });
  expect(added.length).toBe(fit);
  return added;
}

const [SOUND_OFF, CONTROLLERS, NOTES_OFF] = ['9/1 B0 78 00', '9/1 B0 79 00', '9/1 B0 7B 00'];

describe('a mode message that is not followed', () => {
  test('lets go what is held on its channel, as often as it was struck', () => {
    const held = ['0 90 3C 40', '1 90 3C 40', '2 91 3D 40', '3 90 40 40', '4 80 40 40', '5 90 00 40'];
    const offs = ['9/1 80 00 40', '9/1 80 3C 40', '9/1 80 3C 40'];
    expect(putIn({}, [...held, NOTES_OFF])).toEqual(offs);
    expect(putIn({}, [...held, SOUND_OFF])).toEqual(offs);
    expect(putIn({}, [...held, '9 B1 7B 00'])).toEqual(['9 81 3D 40']);
    expect(putIn({}, ['0 9F 7F 40', '9 BF 7B 00'])).toEqual(['9 8F 7F 40']);
  });

  test('and nothing twice, nor what was let go already', () => {
    expect(putIn({}, ['0 90 3C 40', SOUND_OFF, '10 B0 7B 00'])).toEqual(['9/1 80 3C 40']);
    expect(putIn({}, ['0 80 3C 40', '1 90 3C 40', '2 90 3C 00', NOTES_OFF])).toEqual([]);
    // A surplus note-off is none of the next strike.
    expect(putIn({}, ['0 80 3C 40', '1 90 3C 40', NOTES_OFF])).toEqual(['9/1 80 3C 40']);
  });

  test('is written out only where it is not followed; what it ends is ended either way', () => {
    const all = { resets: new Set(['all-sound-off'] as const) };
    expect(putIn(all, ['0 90 3C 40', SOUND_OFF])).toEqual([]);
    expect(putIn(all, ['0 90 3C 40', SOUND_OFF, '10 B0 7B 00'])).toEqual([]);
    expect(putIn(all, ['0 90 3C 40', NOTES_OFF])).toEqual(['9/1 80 3C 40']);
  });

  test('other controllers and notes end nothing', () => {
    expect(putIn({}, ['0 90 3C 40', '1 B0 7A 00', '2 B0 07 00', '3 C0 7B', '4 A0 7B 00'])).toEqual([]);
  });
});

describe('a reset of controllers that is not followed', () => {
  // Modulation, pan, expression, bend and pressure: pan is not put to rest (RP-015).
  const set = ['0 B0 01 05', '1 B0 0A 05', '2 B0 0B 05', '3 E0 00 41', '4 D0 05', '5 B1 01 06'];

  test('puts what it is of to rest, on its channel', () => {
    expect(putIn({}, [...set, CONTROLLERS])).toEqual([
      '9/1 B0 01 00',
      '9/1 B0 0B 7F',
      '9/1 E0 00 40',
      '9/1 D0 00',
    ]);
    expect(putIn({}, [...set, CONTROLLERS, '10 B0 79 00'])).toHaveLength(4);
    expect(putIn({}, [...set, '6 B0 01 00', CONTROLLERS])).toHaveLength(3);
    expect(putIn({ resets: new Set(['reset-all-controllers'] as const) }, [...set, CONTROLLERS])).toEqual([]);
  });

  test('only what the instrument follows', () => {
    expect(putIn({ controllers: new Set([11]) }, [...set, CONTROLLERS])).toEqual([
      '9/1 B0 0B 7F',
      '9/1 E0 00 40',
      '9/1 D0 00',
    ]);
  });

  test('ends no note', () => {
    expect(putIn({}, ['0 90 3C 40', CONTROLLERS])).toEqual([]);
  });

  test('keeps the range that was said: it is no controller of those', () => {
    const range = ['0 B0 65 00', '0 B0 64 00', '0 B0 06 0C'];
    expect(putIn({}, [...range, CONTROLLERS])).toEqual([]);
    expect(putIn({ registeredParameters: new Set() }, [...range, CONTROLLERS])).toEqual([]);
  });
});

test('behind a system reset that is followed nothing is held and nothing set', () => {
  const reset = '8 F0 7E 7F 09 01 F7';
  expect(putIn({}, ['0 90 3C 40', '1 B0 01 05', reset, NOTES_OFF, '10 B0 79 00'])).toEqual([]);
  expect(putIn({}, [reset, '8 90 3C 40', '8 B0 01 05', NOTES_OFF, '10 B0 79 00'])).toEqual([
    '9/1 80 3C 40',
    '10 B0 01 00',
  ]);
});
