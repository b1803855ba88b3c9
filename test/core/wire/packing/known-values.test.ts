import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { KnownValues } from '../../../../src/core/wire/packing/known-values.ts';
import { hex } from '../../../support/hex.ts';

/** Which of these messages say what their channel was told already. */
function repeatsOf(...messages: string[]): string[] {
  const known = new KnownValues();
  return messages.filter((message) => {
    const [status, data1, data2 = 0] = hex(message);
    return known.isRepeated(status!, data1!, data2);
  });
}

describe('a message that says what its channel was told already', () => {
  test('is one of the same channel, kind and value', () => {
    expect(repeatsOf('B0 07 64', 'B1 07 64', 'B0 07 65', 'B0 0A 65', 'B0 07 64', 'B0 07 64')).toEqual([
      'B0 07 64',
    ]);
    expect(repeatsOf('BF 07 00', 'BF 07 00')).toEqual(['BF 07 00']);
  });

  test('bends count with both their bytes', () => {
    expect(repeatsOf('E0 00 40', 'E0 01 40', 'E0 01 41', 'E1 01 41', 'E0 01 41', 'E1 01 41')).toEqual([
      'E0 01 41',
      'E1 01 41',
    ]);
    // One apart in the upper byte is no repetition, whatever stands in the lower.
    expect(repeatsOf('E0 40 00', 'E0 00 01', 'E0 02 00', 'E0 00 00', 'E0 00 02')).toEqual([]);
  });

  test('of channel pressure there is one byte', () => {
    expect(repeatsOf('D0 40', 'D0 41', 'D1 41', 'D0 41', 'D1 41')).toEqual(['D0 41', 'D1 41']);
  });

  test('none that acts by being sent counts', () => {
    const acting = [0, 6, 32, 38, 64, 66, 69, 84, 88, 96, 97, 98, 99, 100, 101];
    acting.push(120, 121, 122, 123, 124, 125, 126, 127);
    const controllers = Array.from({ length: 128 }, (_, controller) => controller);
    const repeated = controllers.filter((controller) => {
      const known = new KnownValues();
      known.isRepeated(0xb0, controller, 5);
      return known.isRepeated(0xb0, controller, 5);
    });
    expect(repeated).toEqual(controllers.filter((controller) => !acting.includes(controller)));
    expect(repeatsOf('C0 05', 'C0 05', 'A0 3C 05', 'A0 3C 05')).toEqual([]);
  });

  test('Portamento and Legato act while they are switched on', () => {
    expect(repeatsOf('B0 41 7F', 'B0 41 7F', 'B0 44 40', 'B0 44 40')).toEqual([]);
    expect(repeatsOf('B0 41 3F', 'B0 41 3F')).toEqual(['B0 41 3F']);
  });
});

describe('a coarse controller sets its fine half to 0 (MIDI 1.0, p. 12)', () => {
  test('so with a fine half in use it changes something, and after that nothing', () => {
    expect(repeatsOf('B0 07 64', 'B0 27 01', 'B0 07 64')).toEqual([]);
    expect(repeatsOf('B0 07 64', 'B0 27 01', 'B0 07 64', 'B0 07 64')).toEqual(['B0 07 64']);
    expect(repeatsOf('B0 07 64', 'B0 27 01', 'B0 07 65', 'B0 07 65')).toEqual(['B0 07 65']);
  });

  test('a fine half of 0 is not in use, nor that of another channel or controller', () => {
    for (const fine of ['B0 27 00', 'B1 27 01', 'B0 28 01', 'B0 26 01'])
      expect(repeatsOf('B0 07 64', fine, 'B0 07 64'), fine).toEqual(['B0 07 64']);
  });

  test('the fine half is 0 then: told so it hears nothing new', () => {
    expect(repeatsOf('B0 27 01', 'B0 07 64', 'B0 27 00')).toEqual(['B0 27 00']);
    expect(repeatsOf('B0 27 01', 'B0 07 64', 'B0 27 01')).toEqual([]);
  });

  test('a controller above 31 has none', () => {
    // 43 + 32 = 75, 31 + 32 = 63, 32 is the bank’s.
    expect(repeatsOf('B0 4B 05', 'B0 2B 01', 'B0 2B 01')).toEqual(['B0 2B 01']);
    expect(repeatsOf('B0 1F 01', 'B0 3F 05', 'B0 1F 01')).toEqual([]);
  });
});

describe('after a mode message nobody knows what holds', () => {
  test('on its channel', () => {
    for (const mode of ['B0 78 00', 'B0 79 00', 'B0 7F 00']) {
      const told = ['B0 00 01', 'B0 07 64', 'B0 5F 01', 'E0 00 40', 'D0 20'];
      expect(repeatsOf(...told, mode, ...told), mode).toEqual([]);
      const other = ['B1 07 64', 'E1 00 40', 'D1 20', 'BF 5F 01'];
      expect(repeatsOf(...other, mode, ...other), mode).toEqual(other);
    }
    expect(repeatsOf('BF 07 64', 'B1 07 64', 'BF 7B 00', 'B1 07 64', 'BF 07 64')).toEqual(['B1 07 64']);
  });

  test('the last controller that is no mode message forgets nothing', () => {
    expect(repeatsOf('B0 07 64', 'B0 77 00', 'B0 07 64')).toEqual(['B0 07 64']);
  });

  test('a SysEx makes all channels unknown', () => {
    const known = new KnownValues();
    for (let channel = 0; channel < 16; channel += 1) known.isRepeated(0xb0 | channel, 7, 100);
    known.forgetAll();
    for (let channel = 0; channel < 16; channel += 1)
      expect(known.isRepeated(0xb0 | channel, 7, 100), `channel ${channel + 1}`).toBe(false);
  });
});

test('without fine halves and mode messages it is so where the latest of its kind had that value', () => {
  const message = fc.tuple(
    fc.constantFrom(0xb0, 0xb1, 0xbf),
    fc.constantFrom(1, 7, 31, 71, 95, 119),
    fc.constantFrom(0, 1, 127),
  );
  fc.assert(
    fc.property(fc.array(message, { maxLength: 30 }), (messages) => {
      const known = new KnownValues();
      const told = new Map<string, number>();
      for (const [status, controller, value] of messages) {
        const name = `${status} ${controller}`;
        expect(known.isRepeated(status, controller, value)).toBe(told.get(name) === value);
        told.set(name, value);
      }
    }),
  );
});
