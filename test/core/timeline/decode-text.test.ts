import fc from 'fast-check';
import { expect, test } from 'vitest';
import { decodeText, LONGEST_TEXT } from '../../../src/core/timeline/decode-text.ts';

const decode = (...bytes: number[]) => decodeText(Uint8Array.from(bytes), 0, bytes.length);

test('UTF-8 where it is valid (RFC 3629), ISO 8859-1 where it is not', () => {
  expect(decode(0xc3, 0xa9)).toBe('é');
  expect(decode(0xe9, 0x21)).toBe('é!');
  expect(decode(0xf0, 0x9d, 0x84, 0x9e)).toBe('𝄞');
  expect(decode(0xc0, 0x80)).toBe('À\u0080'); // overlong
  expect(decode(0xed, 0xa0, 0x80)).toBe('í\u00a0\u0080'); // surrogate
  expect(decode(0xc3)).toBe('Ã'); // cut
});

test('property: what a TextEncoder writes comes back; what a strict TextDecoder refuses is read byte by byte', () => {
  fc.assert(
    fc.property(fc.string({ unit: 'binary', maxLength: 50 }), (words) => {
      const bytes = new TextEncoder().encode(words);
      expect(decodeText(bytes, 0, bytes.length)).toBe(
        new TextDecoder('utf-8', { ignoreBOM: true }).decode(bytes),
      );
    }),
  );
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 8 }), (bytes) => {
      let expected: string;
      try {
        expected = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
      } catch {
        expected = String.fromCharCode(...bytes);
      }
      expect(decodeText(bytes, 0, bytes.length)).toBe(expected);
    }),
    { numRuns: 2000 },
  );
});

test('long texts are cut, not in mid-character', () => {
  const bytes = new TextEncoder().encode(`a${'é'.repeat(5000)}`);
  expect(decodeText(bytes, 0, bytes.length)).toBe(`a${'é'.repeat((LONGEST_TEXT - 2) / 2)}`);
});
