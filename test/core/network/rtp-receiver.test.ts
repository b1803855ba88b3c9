/** SysEx in pieces: RFC 6295, section 3.2, figure 3 (F0 … F0 begins one, F7 … F0 goes on, F7 … F7 ends it). */
import { expect, test } from 'vitest';
import { RtpReceiver, SILENCE_MICROS } from '../../../src/core/network/rtp-receiver.ts';
import { bytesOf, hexOf } from '../../support/stream-log.ts';

/** What is handed on of packets with one command each; undefined: a packet that is lost. Times in milliseconds. */
function heard(...commands: readonly (string | undefined)[]): string[] {
  const got: string[] = [];
  const receiver = new RtpReceiver(
    { bytes: (bytes) => got.push(hexOf(bytes)), begun: () => {}, gone: () => got.push('gone') },
    0,
  );
  let micros = 0;
  for (const [n, command] of commands.entries()) {
    micros += command === SILENCE ? 2 * SILENCE_MICROS : 1000;
    if (command === SILENCE) receiver.run(micros);
    if (command === undefined || command === SILENCE) continue;
    const bytes = bytesOf(command);
    // Version 2, payload type 97, sequence number, time in 44,100 ticks a second, source; then no journal, and a length.
    const head = bytesOf(`80 61 00 ${(16 + n).toString(16)} 00 00 00 00 00 00 00 07`);
    new DataView(head.buffer).setUint32(4, Math.round(micros * 0.0441));
    receiver.datagram(Uint8Array.of(...head, bytes.length, ...bytes), micros);
  }
  receiver.run(micros + SILENCE_MICROS / 2);
  return got;
}
const SILENCE = 'silence';

test('a whole one is handed on as it is, one in pieces without what joins them', () => {
  expect(heard('F0 7D 01 F7')).toEqual(['F0 7D 01 F7']);
  expect(heard('F0 7D 01 F0', 'F7 02 03 F0', 'F7 04 F7')).toEqual(['F0 7D 01', '02 03', '04 F7']);
  expect(heard('F0 7D F0', 'F7 F0', 'F7 F7')).toEqual(['F0 7D', 'F7']);
});

test('a piece without its beginning is nothing', () => {
  expect(heard('F7 02 03 F0', 'F7 04 F7', '90 3C 40')).toEqual(['90 3C 40']);
  expect(heard('F0 7D F7', 'F7 01 F7')).toEqual(['F0 7D F7']);
  expect(heard('F0 7D F0', 'F7 01 F7', 'F7 02 F7')).toEqual(['F0 7D', '01 F7']);
});

test('a status byte ends what was begun, and a clock does not (MIDI 1.0, p. 30)', () => {
  expect(heard('F0 7D F0', '90 3C 40', 'F7 01 F7')).toEqual(['F0 7D', '90 3C 40']);
  expect(heard('F0 7D F0', 'F6', 'F7 01 F7')).toEqual(['F0 7D', 'F6']);
  expect(heard('F0 7D F0', 'F8', 'F7 01 F7')).toEqual(['F0 7D', 'F8', '01 F7']);
});

test('where a packet is lost the rest may have been in it', () => {
  expect(heard('F0 7D F0', undefined, 'F7 01 F7', '90 3C 40')).toEqual(['F0 7D', '90 3C 40']);
  expect(heard(undefined, 'F0 7D F0', 'F7 01 F7')).toEqual(['F0 7D', '01 F7']);
});

test('nor does a sender go on behind a silence', () => {
  expect(heard('F0 7D F0', SILENCE, 'F7 01 F7', '90 3C 40')).toEqual(['F0 7D', 'gone', '90 3C 40']);
});
