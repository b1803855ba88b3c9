import fc from 'fast-check';
import { expect, test } from 'vitest';
import { hexRecords } from '../../../src/core/export/hex-records.ts';
import { readHexRecords, UnreadableHex } from '../../../src/core/export/read-hex-records.ts';

const END = ':00000001FF';

test('what is written is read, at any address and length of record', () => {
  fc.assert(
    fc.property(
      fc.uint8Array({ minLength: 1, maxLength: 600 }),
      fc.integer({ min: 0, max: 0x1_0000 - 600 }),
      fc.integer({ min: 1, max: 255 }),
      (bytes, loadAddress, recordBytes) => {
        expect(readHexRecords(hexRecords(bytes, loadAddress, recordBytes))).toEqual({ bytes, loadAddress });
      },
    ),
  );
});

test('records in any order, small letters, an upper address of 0 and a start address', () => {
  const text = [':0100020055a8', ':020000040000FA', ':01000000AA55', ':0400000500000000F7', END].join('\n');
  expect(readHexRecords(text)).toEqual({ loadAddress: 0, bytes: Uint8Array.of(0xaa, 0, 0x55) });
});

test.each<[string, string, number, RegExp]>([
  ['no record', 'hello', 1, /no record/],
  ['a digit too few', ':0100000AA55', 1, /no record/],
  ['a changed digit', `:01000000AB55\n${END}`, 1, /checksum/],
  ['another length', `:02000000AA54\n${END}`, 1, /length/],
  ['cut', ':01000000AA55', 1, /end record is missing/],
  ['two bytes for one address', `:01000000AA55\n:0100000055AA\n${END}`, 2, /filled twice/],
  ['an address of more than 16 bits', `:020000040001F9\n${END}`, 1, /past address FFFF/],
  ['past the end of memory', `:02FFFF00AA5501\n${END}`, 1, /past address FFFF/],
  ['a kind there is not', `:01000009AA4C\n${END}`, 1, /kind 9/],
  ['something behind the end', `${END}\n:01000000AA55`, 2, /behind the end/],
  ['nothing', END, 1, /no data/],
])('%s is told with its line', (_, text, line, words) => {
  let caught: unknown;
  try {
    readHexRecords(text);
  } catch (error) {
    caught = error;
  }
  expect(caught).toBeInstanceOf(UnreadableHex);
  expect(caught).toMatchObject({ line, reason: expect.stringMatching(words) });
});

test('any damage of one character is found, or changes nothing', () => {
  const bytes = Uint8Array.from({ length: 100 }, (_, n) => (n * 37) & 0xff);
  const whole = hexRecords(bytes, 0x4000, 16);
  fc.assert(
    fc.property(fc.nat(whole.length - 1), fc.constantFrom(...'0123456789ABCDEF:x \n'), (at, letter) => {
      const damaged = whole.slice(0, at) + letter + whole.slice(at + 1);
      try {
        expect(readHexRecords(damaged)).toEqual({ bytes, loadAddress: 0x4000 });
      } catch (error) {
        expect(error).toBeInstanceOf(UnreadableHex);
      }
    }),
    { numRuns: 500 },
  );
});
