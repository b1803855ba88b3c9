import { describe, expect, test } from 'vitest';
import { IDENTITY_REQUEST, identityReplyOf } from '../../../src/core/midi/identity-reply.ts';
import { classifySysEx } from '../../../src/core/midi/universal-sysex.ts';
import { hex } from '../../support/hex.ts';

/** MIDI 1.0 Detailed Specification 4.2.1, Table VIIa: 15 bytes, or 17 where the maker's id starts with 00. */
describe('Identity Reply', () => {
  test('with an id of one byte; family and member have their low byte first', () => {
    const reply = hex('F0 7E 10 06 02 7D 01 02 03 00 01 00 00 05 F7');
    expect(identityReplyOf(reply)).toEqual({
      device: 16,
      maker: [0x7d],
      family: 0x01 | (0x02 << 7),
      member: 3,
      version: [1, 0, 0, 5],
    });
  });

  test('with an id of three bytes', () => {
    const reply = hex('F0 7E 00 06 02 00 7F 7E 04 00 05 00 00 00 00 01 F7');
    expect(identityReplyOf(reply)).toMatchObject({ maker: [0, 0x7f, 0x7e], family: 4, member: 5 });
  });

  test('cut short, too long, or something else: none', () => {
    for (const other of [
      'F0 7E 10 06 02 7D 01 02 03 00 01 00 00 F7',
      'F0 7E 10 06 02 7D 01 02 03 00 01 00 00 05 06 F7',
      'F0 7E 10 06 02 00 01 02 03 00 01 00 00 05 F7',
      'F0 7E 7F 06 01 F7',
      'F0 7F 10 06 02 7D 01 02 03 00 01 00 00 05 F7',
      'F0 F7',
    ]) {
      expect(identityReplyOf(hex(other)), other).toBeUndefined();
    }
  });

  test('the request is what the table of SysEx calls one', () => {
    expect(classifySysEx(Uint8Array.from(IDENTITY_REQUEST)).kind).toBe('identity-request');
  });
});
