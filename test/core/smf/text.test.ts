import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decodeText, LONGEST_TEXT } from '../../../src/core/smf/text.ts';
import { hex } from '../../support/hex.ts';

describe('text of meta events', () => {
  it('is UTF-8 where it is faultless UTF-8', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'grapheme' }), (text) => {
        const bytes = new TextEncoder().encode(text);
        expect(decodeText(bytes)).toBe(new TextDecoder().decode(bytes));
      }),
    );
  });

  it('is Latin-1 else, as the strict decoder of the platform decides', () => {
    const strict = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });
    const byte = fc.oneof(
      fc.integer({ min: 0, max: 255 }),
      fc.constantFrom(0xc3, 0xa9, 0xe2, 0x82, 0xac, 0xed, 0xa0, 0xf0),
    );
    fc.assert(
      fc.property(fc.array(byte, { maxLength: 8 }), (raw) => {
        const bytes = Uint8Array.from(raw);
        let expected: string;
        try {
          expected = strict.decode(bytes);
        } catch {
          expected = String.fromCharCode(...raw);
        }
        expect(decodeText(bytes)).toBe(expected);
      }),
      { numRuns: 5000 },
    );
  });

  it.each([
    ['C0 80', 'an overlong zero'],
    ['E0 80 80', 'an overlong zero'],
    ['ED A0 80', 'a surrogate'],
    ['F4 90 80 80', 'beyond U+10FFFF'],
    ['C3', 'cut short'],
  ])('%s is Latin-1: %s (RFC 3629, section 3)', (bytes) => {
    expect(decodeText(hex(bytes))).toHaveLength(hex(bytes).length);
  });

  it.each([0, 0x7f, 0x80, 0x7ff, 0x800, 0xd7ff, 0xe000, 0xffff, 0x1_0000, 0x10_ffff])(
    'the code point %i stands at a border of the encoding',
    (code) => {
      const text = `é${String.fromCodePoint(code)}é`; // alone a wrong one would look right in Latin-1
      expect(decodeText(new TextEncoder().encode(text))).toBe(text);
    },
  );

  it('one byte that fits nowhere makes all of it Latin-1', () => {
    for (const byte of ['80', 'BF', 'C1', 'F5', 'FF'])
      expect(decodeText(hex(`C3 A9 ${byte} 41`))).toBe(`Ã©${String.fromCharCode(hex(byte)[0]!)}A`);
  });

  it('is cut where it is endless, and never inside a character', () => {
    for (let before = 0; before < 4; before++) {
      const text = `${'a'.repeat(before)}${'\u{1f3b9}'.repeat(2000)}`;
      const decoded = decodeText(new TextEncoder().encode(text));
      expect(text.startsWith(decoded)).toBe(true);
      expect(new TextEncoder().encode(decoded).length).toBeGreaterThan(LONGEST_TEXT - 4);
      expect(new TextEncoder().encode(decoded).length).toBeLessThanOrEqual(LONGEST_TEXT);
    }
    // No character goes on for longer than three bytes: what does is left out whole.
    const junk = new Uint8Array(5000).fill(0x80).fill(0x61, 0, LONGEST_TEXT - 4);
    expect(decodeText(junk)).toBe('a'.repeat(LONGEST_TEXT - 4));
    expect(decodeText(new Uint8Array(1_000_000).fill(0xe9))).toBe('é'.repeat(LONGEST_TEXT));
  });

  it('takes its place in a file', () => {
    expect(decodeText(hex('00 41 42 43 00'), 1, 3)).toBe('ABC');
  });
});
