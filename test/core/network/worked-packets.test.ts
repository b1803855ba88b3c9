/**
 * Packets put together by hand from the figures of RFC 3550 (section 5.1) and RFC 6295 (section 3: figures 2–4; section 5 and
 * appendix A: a figure for each chapter), so that writer and reader are not only right about each other.
 */
import { describe, expect, test } from 'vitest';
import { readCommandSection, writeCommandSection } from '../../../src/core/network/command-list.ts';
import { JournalReader } from '../../../src/core/network/read-journal.ts';
import { readRtpPacket } from '../../../src/core/network/rtp-packet.ts';
import { RtpSender } from '../../../src/core/network/rtp-sender.ts';
import { bytesOf, hexOf } from '../../support/stream-log.ts';

const START = { sequence: 0x1234, timestamp: 0xffff_ff00, source: 0xdead_beef };

function senderOf(...messages: string[]): RtpSender {
  const sender = new RtpSender(START);
  for (const message of messages) sender.add(bytesOf(message), 0);
  return sender;
}

const readPacket = (packet: Uint8Array) => readRtpPacket(packet, new JournalReader());

describe('what is written', () => {
  test('the first packet: marked, two notes a millisecond apart (44 ticks), and a journal of nothing', () => {
    const sender = senderOf('90 3C 64');
    sender.add(bytesOf('90 40 50'), 1000);
    expect(hexOf(sender.packet(1000))).toBe(
      [
        '80 E1 12 34 FF FF FF 00 DE AD BE EF', // V=2; M, PT=97; sequence; timestamp; SSRC
        '47 90 3C 64 2C 90 40 50', // J, LEN=7; a command, a delta time, a command
        '00 12 34', // no channels; checkpoint: this packet
      ].join(' '),
    );
  });

  test('a packet of nothing a second later, not marked, with a journal of every chapter', () => {
    const sender = senderOf(
      ...['B2 00 01', 'B2 20 02', 'C2 05', 'B2 07 64', 'B2 7B 00', 'B2 7B 00', 'E2 00 50'],
      ...['92 3C 40', '92 40 30', '82 40 40', 'D2 1E', 'A2 3C 28'],
      ...['B2 63 01', 'B2 62 08', 'B2 06 46', 'B2 26 05', 'B2 61 00', 'B2 61 00', 'B2 61 00'],
    );
    sender.packet(0);
    expect(hexOf(sender.packet(1_000_000))).toBe(
      [
        '80 61 12 35 00 00 AB 44 DE AD BE EF', // 44,100 ticks on, mod 2³²
        '40', // J, LEN=0
        '20 12 34', // A, one channel
        '10 23 FB', // CHAN=2, LENGTH=35; P C M W N T A
        '05 81 02', // P: program; B, bank MSB; LSB
        '03 00 01 20 02 07 64 7B C2', // C: four logs; 7 stands where a fine half older than it would; the last by count: A, T, 2
        '20 09 08 81 E2 46 05 80 03', // M: E, LENGTH=9; NRPN (Q) 136; J K L V; MSB; LSB; three steps down
        '00 50', // W
        '01 88 3C 40 80', // N: one log, octet 8 alone: LOW, HIGH; too late to strike; key 64 off
        '1E', // T
        '00 3C 28', // A
      ].join(' '),
    );
  });

  test('a fresh note may still be struck, up to 150 ms after it', () => {
    const sender = senderOf('90 3C 64');
    sender.packet(0);
    const logOf = (packet: Uint8Array) => hexOf(packet.subarray(-4));
    expect(logOf(sender.packet(150_000))).toBe('01 F0 3C E4');
    expect(logOf(sender.packet(150_001))).toBe('01 F0 3C 64');
    // Not behind a message that ends all notes (MIDI 1.0, p. 20–25); 121 and 122 end none.
    const behind = (mode: string) => {
      const ended = senderOf('90 3C 64', `B0 ${mode} 00`);
      ended.packet(0);
      return hexOf(ended.packet(0));
    };
    for (const mode of ['78', '7B', '7C', '7D', '7E', '7F']) expect(behind(mode)).toContain('01 F0 3C 64');
    for (const mode of ['79', '7A']) expect(behind(mode)).toContain('01 F0 3C E4');
  });

  test.each([
    ['65 00', '64 02', { isNonRegistered: false, number: 2 }],
    ['65 01', '64 00', { isNonRegistered: false, number: 128 }],
    ['63 00', '62 08', { isNonRegistered: true, number: 8 }],
    ['63 7F', '62 7E', { isNonRegistered: true, number: 16_382 }],
  ])('the parameter of controllers %s and %s is read as it was written', (coarse, fine, parameter) => {
    const sender = senderOf(`B0 ${coarse}`, `B0 ${fine}`, 'B0 06 2A', 'B0 60 00');
    sender.packet(0);
    const [channel] = readPacket(sender.packet(0))!.journal!.channels;
    expect(channel).toMatchObject({
      parameters: [{ ...parameter, msb: 0x2a, steps: 1 }],
      isLastSelected: true,
    });
  });

  test.each([0, 1, 126, 127, 128])('%i sounding keys are read as they were written', (count) => {
    const sender = senderOf('90 00 01', '80 00 40');
    for (let key = 0; key < count; key += 1) sender.add(Uint8Array.of(0x90, key, 1 + (key % 127)), 0);
    sender.packet(0);
    const [channel] = readPacket(sender.packet(0))!.journal!.channels;
    expect(channel!.struck).toEqual(
      Array.from({ length: count }, (_, key) => ({ key, velocity: 1 + (key % 127), play: true })),
    );
    expect(channel!.released).toEqual(count === 0 ? [0] : []);
  });

  test('SysEx in pieces: the first ends in F0, the next has F7 and F0 round it, the last F7 before it', () => {
    const sender = senderOf(
      'F0 7D 01',
      '02 03',
      'F8',
      '04 F7',
      '05',
      'F0 7D F7',
      'F0 7D 06',
      '90 3C 64',
      '07',
    );
    const { commands } = readPacket(sender.packet(0))!;
    expect(commands.map(({ bytes }) => hexOf(bytes))).toEqual([
      'F0 7D 01 F0',
      'F7 02 03 F0',
      'F8',
      'F7 04 F7',
      'F0 7D F7', // what no SysEx had begun is left out
      'F0 7D 06 F0',
      'F7 F4', // taken back
      '90 3C 64',
    ]);
  });

  // RFC 6295, figure 4; the same as in a MIDI file.
  test.each([
    [0, '00'],
    [127, '7F'],
    [128, '81 00'],
    [16_383, 'FF 7F'],
    [16_384, '81 80 00'],
    [2_097_151, 'FF FF 7F'],
    [2_097_152, '81 80 80 00'],
    [268_435_455, 'FF FF FF 7F'],
    [268_435_456, 'FF FF FF 7F'], // more does not go
  ])('a delta time of %i ticks', (ticks, hex) => {
    const clock = Uint8Array.of(0xf8);
    const section = writeCommandSection([
      { ticks: 0, bytes: clock },
      { ticks, bytes: clock },
      { ticks: 0, bytes: clock }, // none goes back
    ]);
    expect(hexOf(section.subarray(1))).toBe(`F8 ${hex} F8 00 F8`);
    const { commands } = readCommandSection(section, 0, section.length)!;
    expect(commands.map((command) => command.ticks)).toEqual([
      0,
      ...Array(2).fill(Math.min(ticks, 268_435_455)),
    ]);
  });

  test('a list of up to 15 bytes has a short head, up to 4095 a long one, and there is no longer one', () => {
    const section = (length: number) =>
      writeCommandSection([{ ticks: 0, bytes: Uint8Array.of(0xf0, ...new Uint8Array(length - 2), 0xf7) }]);
    expect(hexOf(section(15).subarray(0, 2))).toBe('4F F0');
    expect(hexOf(section(16).subarray(0, 3))).toBe('C0 10 F0');
    expect(hexOf(section(4095).subarray(0, 3))).toBe('CF FF F0');
    expect(readCommandSection(section(4095), 0, 4097)!.commands[0]!.bytes).toHaveLength(4095);
    expect(() => section(4096)).toThrow(RangeError);
  });
});

describe('what others may write', () => {
  const PACKET = [
    'B2 E0 FF FF 00 00 00 01 00 00 00 07', // padding, an extension, two contributors; M, PT=96
    '11 11 11 11 22 22 22 22', // the contributors
    'BE DE 00 01 33 33 33 33', // the extension, one word long
    '7D 81 00 90 3C 64 05 3C 00 00 F8 00 40 64', // J Z P, LEN=13: a first delta time, running status over F8
    'E1 AB CD', // S Y A, two channels
    '80 05 44 44 44', // the system journal, 5 bytes
    'FC 1F 6E', // S, CHAN=15, H, LENGTH=31: C M N E T
    '01 C0 81 FB C3', // C: a toggle (A) that is on, a count (A T) of 3
    '60 0D 05 08 81 F8 46 05 80 03 00 07 02', // M: P E; pending; NRPN 136 with J K L M N: A-button −3, C-button, count
    '02 F0 3C C0 C0 30', // N: two logs, no bits
    '00 3C 81', // E
    '11', // T
    '00 0A 22', // CHAN=0, LENGTH=10: M T
    '10 06 01 02 03 04', // M with U: shortened, passed over
    'D5', // T, with S
    '00 00 03', // padding
  ].join(' ');

  test('is read', () => {
    const none = {
      controllers: [],
      parameters: [],
      isLastSelected: false,
      struck: [],
      released: [],
      keyPressure: [],
    };
    const packet = readPacket(bytesOf(PACKET))!;
    expect(packet).toMatchObject({ marker: true, sequence: 0xffff, timestamp: 1, source: 7 });
    expect(packet.commands.map(({ ticks, bytes }) => `${ticks}: ${hexOf(bytes)}`)).toEqual([
      '128: 90 3C 64',
      '133: 90 3C 00',
      '133: F8',
      '133: 90 40 64',
    ]);
    expect(packet.journal).toEqual({
      checkpoint: 0xabcd,
      channels: [
        {
          ...none,
          channel: 15,
          controllers: [
            { number: 0x40, tool: 'toggle', value: 1 },
            { number: 0x7b, tool: 'count', value: 3 },
          ],
          parameters: [{ isNonRegistered: true, number: 136, msb: 0x46, lsb: 5, steps: -3 }],
          isLastSelected: true,
          struck: [
            { key: 60, velocity: 0x40, play: true },
            { key: 64, velocity: 0x30, play: false },
          ],
          pressure: 0x11,
        },
        { ...none, channel: 0, pressure: 0x55 },
      ],
    });
  });

  test.each([
    ['another version', (bytes: Uint8Array) => bytes.set([0x72], 0)],
    ['a payload type of audio', (bytes: Uint8Array) => bytes.set([0xdf], 1)],
    ['an extension longer than the packet', (bytes: Uint8Array) => bytes.set([0x40], 23)],
    ['more padding than there is room', (bytes: Uint8Array) => bytes.set([200], bytes.length - 1)],
    ['a list longer than the packet', (bytes: Uint8Array) => bytes.set([0xff], 28)],
    ['a system journal shorter than its head', (bytes: Uint8Array) => bytes.set([1], 46)],
    ['a channel journal shorter than its head', (bytes: Uint8Array) => bytes.set([2], 51)],
    ['a channel journal longer than the packet', (bytes: Uint8Array) => bytes.set([0x2f], 51)],
    ['a chapter longer than its journal', (bytes: Uint8Array) => bytes.set([0x7f], 53)],
  ])('with %s it is not', (_what, damage) => {
    const bytes = bytesOf(PACKET);
    damage(bytes);
    expect(readPacket(bytes)).toBeUndefined();
  });

  test.each([
    ['data without a status before it', '03 3C 64 00'],
    ['running status over a SysEx', '0A 90 3C 64 00 F0 7D F7 00 3C 64'],
    ['running status over a system common message', '09 90 3C 64 00 F3 01 00 3C 64'],
    ['a status where data should be', '03 90 3C 80'],
    ['a message cut short', '02 90 3C'],
    ['an end of SysEx alone', '02 F7 01'],
    ['a status within a SysEx', '05 F0 7D 90 01 F7'],
    ['F4 as a message', '01 F4'],
    ['F5 as a message', '01 F5'],
    ['a delta time of five bytes', '08 F8 80 80 80 80 00 F8 00'],
    ['a delta time cut short', '02 F8 81'],
    ['a head without its second byte', '80'],
    ['nothing', ''],
  ])('%s is no list of commands', (_what, hex) => {
    const bytes = bytesOf(hex);
    expect(readCommandSection(bytes, 0, bytes.length)).toBeUndefined();
  });

  test('a delta time at the end that no command follows, and a real-time byte within SysEx', () => {
    const bytes = bytesOf('00 08 F0 7D F8 F4 05 F8 81 00');
    expect(readCommandSection(bytes, 1, bytes.length)).toEqual({
      commands: [
        { ticks: 0, bytes: bytesOf('F0 7D F8 F4') },
        { ticks: 5, bytes: bytesOf('F8') },
      ],
      hasJournal: false,
      end: 10,
    });
  });
});
