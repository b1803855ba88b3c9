import { expect, test } from 'vitest';
import { JournalReader } from '../../../src/core/network/read-journal.ts';
import { StreamMemory } from '../../../src/core/network/stream-memory.ts';
import { bytesOf } from '../../support/stream-log.ts';

/** What is remembered after these, each a millisecond behind the one before. */
function after(...messages: string[]): StreamMemory {
  const memory = new StreamMemory();
  for (const [n, message] of messages.entries()) memory.fold(bytesOf(message), 1000 * n);
  return memory;
}

const VOLUME = 7;

test.each(['F0 7E 7F 09 01 F7', 'FF'])('after a reset (%s) nothing said before is in force', (reset) => {
  const memory = after('B0 07 64', '90 3C 40');
  memory.changed = 0;
  memory.fold(bytesOf(reset), 5000);
  expect(memory.held.value[VOLUME]).toBe(new StreamMemory().held.value[VOLUME]);
  expect(memory.held.value[VOLUME]).not.toBe(0x64);
  expect(memory.struck[60]).toBe(Number.NEGATIVE_INFINITY);
  // Its key is down until it is let go.
  expect(memory.strikes[60]).toBe(1);
  expect(memory.changed).toBe(0xffff);
});

test('a SysEx that is none, or goes on in another piece, leaves all as it was', () => {
  for (const message of ['F0 7E 7F 09 01', 'F0 7D 01 F7', 'F0 7E 7F 09 F7'])
    expect(after('B0 07 64', message).held.value[VOLUME], message).toBe(0x64);
});

test('strikes are counted, and no release takes more than there are; each is told with its channel', () => {
  const memory = after('93 3C 40', '93 3C 50', '83 3C 00', '93 3D 10');
  const cell = 3 * 128 + 60;
  expect([memory.strikes[cell], memory.velocity[cell], memory.touched[cell], memory.struck[cell]]).toEqual([
    1, 0x50, 1, 1000,
  ]);
  for (const release of ['83 3C 00', '93 3C 00', '83 3C 00']) memory.fold(bytesOf(release), 0);
  expect(memory.strikes[cell]).toBe(0);
  expect(memory.strikes[cell + 1]).toBe(1);
});

test('mode messages are counted by channel and number, up to 63 and round; one that ends notes makes them long ago', () => {
  const many = after('90 3C 40', '91 3C 40', ...new Array<string>(65).fill('B1 79 00'), 'B1 7B 00');
  const place = (channel: number, number: number) => channel * 8 + number - 120;
  expect(many.counts[place(1, 121)]).toBe(1);
  expect(many.counts[place(1, 123)]).toBe(1);
  expect(many.counts[place(0, 123)]).toBe(0);
  expect([many.struck[60], many.struck[128 + 60]]).toEqual([0, Number.NEGATIVE_INFINITY]);
  // Reset All Controllers (121) and Local Control (122) end no note.
  expect(after('90 3C 40', 'B0 79 00', 'B0 7A 00').struck[60]).toBe(0);
});

test('a journal without channels has none, whatever its count says (RFC 6295, 5: TOTCHAN counts only where A is set)', () => {
  const reader = new JournalReader();
  expect(reader.read(Uint8Array.of(0x05, 0x12, 0x34), 0, 3)).toEqual({ checkpoint: 0x1234, channels: [] });
});
