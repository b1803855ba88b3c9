import { expect, test } from 'vitest';
import { imageFacts, looksLikeHex, looksPrepared } from '../../../src/core/export/image-facts.ts';

/** A head as docs/stream.md has it. */
function head(changes: Readonly<Record<number, number>> = {}): Uint8Array {
  const bytes = new Uint8Array(40);
  bytes.set([0xc3, 0, 0x42, 0x77, 0x73, 3]);
  bytes.set([0x48, 0xe8, 0x01, 0, 0, 0, 0xc7, 0x41, 0], 22);
  for (const [at, value] of Object.entries(changes)) bytes[Number(at)] = value;
  return bytes;
}

test('what the head says: processor, address, units a second, whether it repeats', () => {
  expect(imageFacts(head())).toEqual({
    cpu: 'z80',
    loadAddress: 0x41c7,
    unitsPerSecond: 125_000,
    repeats: false,
  });
  expect(imageFacts(head({ 0: 0x4c, 30: 0b1111 }))).toMatchObject({ cpu: '6502', repeats: true });
  expect(imageFacts(head({ 0: 0, 30: 0b1110 }))).toMatchObject({ cpu: undefined, repeats: false });
});

test('an image begins with a jump and the mark', () => {
  expect([head(), head({ 0: 0x4c })].map(looksPrepared)).toEqual([true, true]);
  for (const at of [0, 3, 4]) expect([at, looksPrepared(head({ [at]: 0x20 }))]).toEqual([at, false]);
  expect(looksPrepared(new Uint8Array(0))).toBe(false);
});

test('Intel HEX begins with a colon and digits, blank before it or not', () => {
  const text = (words: string) => new TextEncoder().encode(words);
  for (const words of [':10', '\n :0A123', '\r\n  :fF'])
    expect([words, looksLikeHex(text(words)), looksPrepared(text(words))]).toEqual([words, true, true]);
  for (const words of ['', ':1', ':g0', '10', 'x:10', '      :10'])
    expect([words, looksLikeHex(text(words))]).toEqual([words, false]);
});
