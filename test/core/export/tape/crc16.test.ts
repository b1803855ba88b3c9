import { expect, test } from 'vitest';
import { crc16 } from '../../../../src/core/export/tape/crc16.ts';

test('the digits 1 to 9 give 29B1 (check value of this CRC as widely published; from memory)', () => {
  expect(crc16(new TextEncoder().encode('123456789'))).toBe(0x29b1);
});

test('any single bit that falls over is found', () => {
  const bytes = Uint8Array.from({ length: 64 }, (_, n) => (n * 37) & 0xff);
  const right = crc16(bytes);
  for (let bit = 0; bit < 64 * 8; bit++) {
    bytes[bit >> 3]! ^= 1 << (bit & 7);
    expect(crc16(bytes)).not.toBe(right);
    bytes[bit >> 3]! ^= 1 << (bit & 7);
  }
});
