import { expect, test } from 'vitest';
import { PayloadKind } from '../../../src/core/timeline/payload-kind.ts';
import { columnsOf } from '../wire/columns-of.ts';

const kindOf = (...bytes: number[]) =>
  columnsOf([0, bytes.map((byte) => byte.toString(16)).join(' ')]).payloadKind[0];

test('a SysEx holds data bytes and one F7, nothing else (MIDI 1.0, Table VI): what has any other status is broken', () => {
  // Master Volume, a device of ours: F0 7F 7F 04 01 lsb msb F7.
  expect(kindOf(0xf0, 0x7f, 0x7f, 4, 1, 0, 100, 0xf7)).toBe(PayloadKind.lasting);
  for (let status = 0x80; status <= 0xff; status += 1) {
    for (const at of [1, 4, 6]) {
      const bytes = [0xf0, 0x7f, 0x7f, 4, 1, 0, 100, 0xf7];
      bytes[at] = status;
      expect(kindOf(...bytes), `${status.toString(16)} at ${at}`).toBe(PayloadKind.broken);
    }
  }
});
