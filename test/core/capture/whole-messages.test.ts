import { describe, expect, it } from 'vitest';
import { eventLogRemark } from '../../../src/core/capture/event-log.ts';
import { LONGEST_RECORDED_SYSEX, WholeMessages } from '../../../src/core/capture/whole-messages.ts';
import { bytesOf, hexOf } from '../../support/stream-log.ts';

function gather(chunks: [number, string][]): string[] {
  const lines: string[] = [];
  const gatherer = new WholeMessages({
    message: (micros, bytes) => lines.push(`${micros} ${hexOf(bytes)}`),
    remark: (micros, text) => lines.push(`${micros} # ${text}`),
  });
  for (const [micros, hex] of chunks) gatherer.feed(bytesOf(hex), 0, bytesOf(hex).length, micros);
  gatherer.finish();
  return lines;
}

describe('wire bytes to whole messages', () => {
  it('writes running status out', () => {
    expect(
      gather([
        [1, '90 3C 40'],
        [2, '3E 40'],
        [3, 'C0 05 06'],
      ]),
    ).toEqual(['1 90 3C 40', '2 90 3E 40', '3 C0 05', '3 C0 06']);
  });
  it('gives a message the time of its first byte, also under running status and after a fault', () => {
    expect(
      gather([
        [1, '90'],
        [2, 'F8'],
        [3, '3C'],
        [4, '40'],
        [5, '3E'],
        [6, '41 80 3C'],
        [7, 'F6 11'],
        [8, '90'],
        [9, '3C 40'],
      ]),
    ).toEqual([
      '2 F8',
      '1 90 3C 40',
      '5 90 3E 41',
      '7 # byte 6: message cut short by the next status: 80 3C',
      '7 F6',
      '7 # byte 9: data byte with no status before it: 11',
      '8 90 3C 40',
    ]);
  });
  it('what is before the first status byte is remarked, as the rest of a message', () => {
    expect(gather([[4, '41 F7 90 3C 40']])).toEqual([
      '4 # byte 0: rest of a message that began before: 41',
      '4 # byte 1: rest of a message that began before: F7',
      '4 90 3C 40',
    ]);
  });
  it('a byte that is undefined changes nothing of the message it falls into, nor its time', () => {
    expect(
      gather([
        [1, '90'],
        [2, '3C F9'],
        [3, '40'],
        [4, '3D'],
        [5, 'FD'],
        [6, '41'],
      ]).filter((line) => !line.includes('#')),
    ).toEqual(['1 90 3C 40', '4 90 3D 41']);
  });
  it('gives a SysEx in pieces the time of its F0, and what fell inside comes after it with its own time', () => {
    expect(
      gather([
        [1, 'F0 7E'],
        [2, 'F8 7F 09'],
        [3, '01 F7'],
        [4, 'F8'],
      ]),
    ).toEqual(['1 F0 7E 7F 09 01 F7', '2 F8', '4 F8']);
  });
  it('keeps a cut SysEx as it came, each with its own time, and remarks the fault', () => {
    expect(
      gather([
        [1, 'F0 01'],
        [2, 'F0 02 F7'],
      ]),
    ).toEqual([
      '1 F0 01',
      '2 # the SysEx before this did not end with F7',
      '2 # byte 0: SysEx cut short by another status: F0 F0',
      '2 F0 02 F7',
    ]);
  });
  it('keeps a SysEx of many pieces whole', () => {
    const bytes = Array.from({ length: 5000 }, (_, i) => (i === 0 ? 0xf0 : i === 4999 ? 0xf7 : i % 100));
    expect(gather([[7, hexOf(bytes)]])).toEqual([`7 ${hexOf(bytes)}`]);
  });
});

describe('a SysEx without end', () => {
  /** F0, then data in pieces of 1,000, then F7; what came of it. */
  const recorded = (bytes: number) => {
    const messages: Uint8Array[] = [];
    const remarks: string[] = [];
    const gatherer = new WholeMessages({
      message: (_micros, message) => messages.push(message),
      remark: (micros, text) => remarks.push(`${micros} ${text}`),
    });
    const whole = new Uint8Array(bytes).fill(0x11);
    whole[0] = 0xf0;
    whole[bytes - 1] = 0xf7;
    for (let at = 0; at < bytes; at += 1000) gatherer.feed(whole, at, Math.min(bytes, at + 1000), at);
    gatherer.feed(bytesOf('F0 01 F7'), 0, 3, 9);
    gatherer.finish();
    return { messages, remarks };
  };

  it('is recorded up to a mebibyte, and what is cut is told', () => {
    const { messages, remarks } = recorded(LONGEST_RECORDED_SYSEX);
    expect([messages.map(({ length }) => length), remarks]).toEqual([[1 << 20, 3], []]);
    const longer = recorded(LONGEST_RECORDED_SYSEX + 600);
    expect(longer.messages[0]!.length).toBeLessThanOrEqual(1 << 20);
    expect(longer.messages[0]!.length).toBeGreaterThan((1 << 20) - 1000);
    expect([...longer.messages[1]!]).toEqual([0xf0, 1, 0xf7]);
    expect(longer.remarks).toEqual([`${1_049_000} a SysEx longer than 1048576 bytes was cut`]);
  });
});

describe('the end of a stream', () => {
  it('gives what still waits: the open SysEx, and then what fell inside', () => {
    expect(
      gather([
        [1, 'F0 01'],
        [2, 'F8'],
        [3, '02 FE'],
      ]),
    ).toEqual([
      '1 F0 01 02',
      '3 # the SysEx before this did not end with F7',
      '2 F8',
      '3 FE',
      '3 # byte 0: SysEx cut short by another status: F0',
    ]);
  });

  it('of real-time messages each has its own time, in a message and after it', () => {
    expect(
      gather([
        [1, '90 3C'],
        [2, 'FE'],
        [3, '40 F8'],
        [4, '3D 40'],
      ]),
    ).toEqual(['2 FE', '1 90 3C 40', '3 F8', '4 90 3D 40']);
  });
});

describe('noise on the line', () => {
  it('the first faults of a second are told as they are, the others by how many', () => {
    const stray = Array.from({ length: 30 }, (_, i): [number, string] => [i * 320, '41']);
    const lines = gather([[0, 'F6'], ...stray, [1_000_000, 'F5'], [1_000_320, '90 3C 40']]);
    expect(lines.slice(1, 9).every((line) => /^\d+ # byte \d: data byte with no status/.test(line))).toBe(
      true,
    );
    expect(lines.slice(9)).toEqual([
      '9280 # and in the same second: data byte with no status before it (22)',
      '1000000 # byte 31: undefined system common status: F5',
      '1000320 90 3C 40',
    ]);
  });
  it('is told of at the end of the stream too, and every fault is in one of the lines', () => {
    const lines = gather([[5, `F6 ${'41 '.repeat(100)}`]]);
    expect(lines).toHaveLength(10);
    expect(lines[9]).toBe('5 # and in the same second: data byte with no status before it (92)');
  });
  it.each([
    ['data bytes', () => 0x41],
    ['SysEx that never ends', () => 0xf0],
    ['undefined status bytes', () => 0xf5],
  ])('%s on a full wire for ten seconds: the remarks are shorter than what came', (_, byte) => {
    let remarks = 0;
    const gatherer = new WholeMessages({
      message: () => {},
      remark: (micros, text) => {
        remarks += eventLogRemark(micros, 'serial:/dev/ttyS0', text).length;
      },
    });
    const bytes = 31_250;
    for (let at = 0; at < bytes; at += 1) gatherer.feed(Uint8Array.of(byte()), 0, 1, at * 320);
    gatherer.finish();
    expect(remarks).toBeLessThan(bytes);
    expect(remarks).toBeGreaterThan(0);
  });
});
