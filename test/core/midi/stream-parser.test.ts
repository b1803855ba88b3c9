import { describe, expect, it } from 'vitest';
import { Fault } from '../../../src/core/midi/stream-fault.ts';
import { StreamParser, SYSEX_PIECE } from '../../../src/core/midi/stream-parser.ts';
import { bytesOf, readStream } from '../../support/stream-log.ts';

// Rules: MIDI 1.0 Detailed Specification 4.2.1, p. 5, A-1 to A-3 (running status), p. 27–35 (system messages).

function read(hex: string) {
  return readStream([bytesOf(hex)]);
}

describe('valid streams', () => {
  it.each([
    ['note on and off', '90 3C 40  80 3C 40', ['90 3C 40', '80 3C 40']],
    ['running status (p. 5)', '90 3C 40  3C 00  40 7F', ['90 3C 40', '90 3C 00', '90 40 7F']],
    ['one-byte messages run too', 'C0 05 06  D0 10 11', ['C0 05', 'C0 06', 'D0 10', 'D0 11']],
    ['another channel is another status', '90 3C 40 91 3C 40 3E 40', ['90 3C 40', '91 3C 40', '91 3E 40']],
    ['song position, p. 27 example: F2 0A 00', 'F2 0A 00', ['F2 0A 00']],
    ['quarter frame, song select, tune request', 'F1 23 F3 07 F6', ['F1 23', 'F3 07', 'F6']],
    ['real-time between two bytes', '90 F8 3C FE 40 FA', ['F8', 'FE', '90 3C 40', 'FA']],
    ['real-time keeps running status', '90 3C 40 F8 3E 40', ['90 3C 40', 'F8', '90 3E 40']],
    ['SysEx', 'F0 7E 7F 09 01 F7', ['F0 7E 7F 09 01 F7']],
    ['real-time inside SysEx', 'F0 7E F8 7F 09 01 F7', ['F8', 'F0 7E 7F 09 01 F7']],
    ['an empty SysEx', 'F0 F7', ['F0 F7']],
  ])('%s', (_name, hex, messages) => {
    const log = read(hex);
    expect(log.messages).toEqual(messages);
    expect(log.faults).toEqual([]);
    expect(log.wireBytes).toBe(bytesOf(hex).length);
  });
});

describe('before the first status byte listening may have begun in mid-message: that is no fault (p. A-2)', () => {
  it.each([
    ['data bytes', '3C 40 90 3C 40', ['90 3C 40'], ['0: 3C', '1: 40'], 0],
    [
      'real-time among them, which begins nothing',
      '3C F8 40 90 3C 40',
      ['F8', '90 3C 40'],
      ['0: 3C', '2: 40'],
      0,
    ],
    ['the rest of a SysEx', '01 02 F7 90 3C 40', ['90 3C 40'], ['0: 01', '1: 02', '2: F7'], 0],
    ['of which there is one', '01 F7 02 F7', [], ['0: 01', '1: F7'], 2],
    ['an undefined status is one', 'F4 3C', [], [], 2],
    ['nothing else came', '3C 40', [], ['0: 3C', '1: 40'], 0],
  ])('%s', (_name, hex, messages, rest, faults) => {
    const log = read(hex);
    expect(log.messages).toEqual(messages);
    expect(log.rest).toEqual(rest);
    expect(log.faults).toHaveLength(faults);
  });

  it('and so anew when the cable was pulled', () => {
    const rest: number[] = [];
    const parser = new StreamParser({ message() {}, sysEx() {}, fault() {}, rest: (at) => rest.push(at) });
    parser.feed(bytesOf('90 3C 40'));
    parser.finish();
    parser.feed(bytesOf('40 90 3C 40'));
    expect(rest).toEqual([3]);
  });
});

describe('faults are counted and placed, and reading goes on', () => {
  it.each([
    [
      'system common clears running status (p. A-1)',
      '90 3C 40 F6 3E 40',
      ['90 3C 40', 'F6'],
      ['4: data byte with no status before it: 3E', '5: data byte with no status before it: 40'],
    ],
    [
      'song position does not run',
      'F2 0A 00 0B 00',
      ['F2 0A 00'],
      ['3: data byte with no status before it: 0B', '4: data byte with no status before it: 00'],
    ],
    [
      'SysEx clears running status',
      '90 3C 40 F0 01 F7 3E',
      ['90 3C 40', 'F0 01 F7'],
      ['6: data byte with no status before it: 3E'],
    ],
    [
      'F4 and F5 are undefined and clear it',
      '90 3C 40 F4 3E F5',
      ['90 3C 40'],
      [
        '3: undefined system common status: F4',
        '4: data byte with no status before it: 3E',
        '5: undefined system common status: F5',
      ],
    ],
    [
      'F9 and FD are undefined and keep it',
      '90 3C F9 40 FD 3E 41',
      ['90 3C 40', '90 3E 41'],
      ['2: undefined real-time status: F9', '4: undefined real-time status: FD'],
    ],
    [
      'a note-on without velocity',
      '90 3C 80 3C 40',
      ['80 3C 40'],
      ['0: message cut short by the next status: 90 3C'],
    ],
    ['a lone status', '90 B0 07 64', ['B0 07 64'], ['0: message cut short by the next status: 90']],
    [
      'half a message under running status',
      '90 3C 40 3E 80 3C 40',
      ['90 3C 40', '80 3C 40'],
      ['3: message cut short by the next status: 3E'],
    ],
    [
      'SysEx ended by a status (p. 35)',
      'F0 43 12 90 3C 40',
      ['F0 43 12!', '90 3C 40'],
      ['0: SysEx cut short by another status: F0 90'],
    ],
    [
      'SysEx ended by an undefined status',
      'F0 43 F4',
      ['F0 43!'],
      ['0: SysEx cut short by another status: F0 F4', '2: undefined system common status: F4'],
    ],
    [
      'SysEx inside SysEx',
      'F0 01 F0 02 F7',
      ['F0 01!', 'F0 02 F7'],
      ['0: SysEx cut short by another status: F0 F0'],
    ],
    [
      'F7 alone',
      '90 3C 40 F7 3E',
      ['90 3C 40'],
      ['3: end of SysEx without a beginning: F7', '4: data byte with no status before it: 3E'],
    ],
    [
      'the stream ends inside a message',
      '90 3C 40 E0 00',
      ['90 3C 40'],
      ['3: message cut short by the next status: E0 00'],
    ],
    [
      'the stream ends inside SysEx',
      'F8 F0 01',
      ['F8', 'F0 01!'],
      ['1: SysEx cut short by another status: F0'],
    ],
  ])('%s', (_name, hex, messages, faults) => {
    const log = read(hex);
    expect(log.messages).toEqual(messages);
    expect(log.faults).toEqual(faults);
  });

  it('nothing is wrong after a fault was reported', () => {
    expect(read('F0 01 F7 90 3C 40').faults).toEqual([]);
    expect(read('90 F7 90 3C 40 F6 F6').faults).toHaveLength(2);
  });
});

describe('long SysEx', () => {
  it.each([SYSEX_PIECE - 1, SYSEX_PIECE, SYSEX_PIECE + 1, 3 * SYSEX_PIECE, 100_000])(
    '%i bytes come in bounded pieces, the last never empty',
    (length) => {
      const bytes = new Uint8Array(length).fill(0x11);
      bytes[0] = 0xf0;
      bytes[length - 1] = 0xf7;
      const log = readStream([bytes]);
      expect(log.messages).toHaveLength(1);
      expect(log.wireBytes).toBe(length);
      expect(Math.max(...log.pieces)).toBeLessThanOrEqual(SYSEX_PIECE);
      expect(Math.min(...log.pieces)).toBeGreaterThan(0);
      expect(log.pieces).toHaveLength(Math.ceil(length / SYSEX_PIECE));
    },
  );
});

it('what a message or a fault has no byte for is 0', () => {
  const told: number[][] = [];
  const parser = new StreamParser({
    message: (...all) => told.push(all),
    sysEx: () => {},
    fault: (...all) => told.push(all),
  });
  // A note; a tune request and a clock, which have no data; a status that another cuts; a program.
  parser.feed(bytesOf('90 3C 40 F6 F8 90 C0 05'));
  expect(told).toEqual([
    [0x90, 0x3c, 0x40, 3],
    [0xf6, 0, 0, 1],
    [0xf8, 0, 0, 1],
    [Fault.truncated, 5, 1, 0x90, 0],
    [0xc0, 5, 0, 2],
  ]);
});

it('a SysEx that is cut is told with the status that cut it, and alone where the stream ends in it', () => {
  const told: number[][] = [];
  const parser = new StreamParser({ message: () => {}, sysEx: () => {}, fault: (...all) => told.push(all) });
  parser.feed(bytesOf('F8 F0 01 02 90 3C 40 F0 01'));
  parser.finish();
  expect(told.map((all) => all.slice(0, 4))).toEqual([
    [Fault.sysExCut, 1, 2, 0xf0],
    [Fault.sysExCut, 7, 1, 0xf0],
  ]);
  expect(told[0]![4]).toBe(0x90);
});
