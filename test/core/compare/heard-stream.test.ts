import { describe, expect, test } from 'vitest';
import { HeardStream, LONGEST_COMPARED_SYSEX } from '../../../src/core/compare/heard-stream.ts';
import { Fault } from '../../../src/core/midi/stream-fault.ts';
import { bytesOf, hexOf } from '../../support/stream-log.ts';

/** All that a stream tells, in order, of pieces with their times. */
function told(pieces: readonly (readonly [micros: number, hex: string])[], hasTimes = true) {
  const lines: string[] = [];
  const hex = (...some: number[]) => hexOf(Uint8Array.from(some));
  const stream = new HeardStream(hasTimes, {
    message: (status, data1, data2, micros) => lines.push(`${micros} ${hex(status, data1, data2)}`),
    sysEx: (bytes, isCut, micros) => lines.push(`${micros} sysex ${hexOf(bytes)}${isCut ? ' cut' : ''}`),
    fault: (kind, micros) => lines.push(`${micros} fault ${kind}`),
  });
  for (const [micros, text] of pieces) stream.feed(bytesOf(text), micros);
  return { lines, stream };
}

describe('messages have the time of their first byte', () => {
  test('in a piece of many, 320 µs a byte; with running status that of the first data byte', () => {
    const { lines, stream } = told([[1000, '90 3C 40 3E 41 C0 05']]);
    expect(lines).toEqual(['1000 90 3C 40', `${1000 + 3 * 320} 90 3E 41`, `${1000 + 5 * 320} C0 05 00`]);
    expect(stream.bytes).toBe(7);
  });

  test('though the rest came later, and something of another kind in between', () => {
    expect(
      told([
        [1000, '90'],
        [5000, '3C'],
        [6000, 'F8'],
        [7000, '40'],
      ]).lines,
    ).toEqual(['1000 90 3C 40']);
    // A real-time byte before the first data byte of a running message is none of it.
    expect(
      told([
        [0, '90 3C 40'],
        [2000, 'F8'],
        [3000, '3E'],
        [9000, '41'],
      ]).lines[1],
    ).toBe('3000 90 3E 41');
    // A status byte that another one follows at once, the lowest there is too.
    expect(
      told([
        [0, '90'],
        [500, '80'],
        [900, '3C 00'],
      ]).lines[1],
    ).toBe('500 80 3C 00');
    expect(told([[0, 'F0 01 80 3C 00']]).lines).toContain('640 sysex 01 cut');
    expect(
      told([
        [0, '90'],
        [500, '91 3C 40'],
      ]).lines,
    ).toEqual([`500 fault ${Fault.truncated}`, '500 91 3C 40']);
  });

  test('without times each byte has its place, whatever is said', () => {
    expect(
      told(
        [
          [999, '90 3C 40'],
          [5, '80 3C 00'],
        ],
        false,
      ).lines,
    ).toEqual(['0 90 3C 40', '960 80 3C 00']);
  });

  test('messages of the system are told but for those of real time', () => {
    expect(
      told([
        [0, 'F3 05'],
        [10, 'F8 FE FF'],
        [20, 'F6'],
        [30, 'F2 01 02'],
      ]).lines,
    ).toEqual(['0 F3 05 00', '20 F6 00 00', '30 F2 01 02']);
  });
});

describe('a SysEx', () => {
  test('has what stands between F0 and F7, and the time of its end; what follows begins anew', () => {
    const { lines } = told([
      [0, 'F0 7D 01'],
      [5000, 'F8 02 F7 90 3C 40'],
    ]);
    expect(lines).toEqual([`${5000 + 2 * 320} sysex 7D 01 02`, `${5000 + 3 * 320} 90 3C 40`]);
    expect(told([[0, 'F0 F7']]).lines).toEqual(['320 sysex ']);
    expect(told([[0, 'F0 01 F7 F0 02 F7']]).lines).toEqual(['640 sysex 01', '1600 sysex 02']);
  });

  test('that another status ends is cut, and a fault', () => {
    const { lines } = told([[0, 'F0 7D 01 90 3C 40']]);
    expect(lines).toContain('960 sysex 7D 01 cut');
    expect(lines.at(-1)).toBe('960 90 3C 40');
    expect(told([[0, 'F0 7D 01 F7']]).lines[0]).not.toContain('cut');
  });

  test('is kept whole however long, up to what is compared', () => {
    const kept = (length: number) => {
      let found = new Uint8Array(0);
      const stream = new HeardStream(false, {
        message: () => {},
        sysEx: (bytes) => {
          found = bytes.slice();
        },
        fault: () => {},
      });
      const content = Uint8Array.from({ length }, (_, n) => (n * 7) % 128);
      stream.feed(Uint8Array.of(0xf0, ...content, 0xf7), 0);
      expect(Buffer.compare(found, content.subarray(0, found.length))).toBe(0);
      return found.length;
    };
    expect([255, 256, 257, 1000].map(kept)).toEqual([255, 256, 257, 1000]);
    expect(LONGEST_COMPARED_SYSEX).toBe(65_536);
    expect(kept(65_537)).toBe(65_536);
  });
});

describe('what is no message', () => {
  test('is told when it came', () => {
    const { lines, stream } = told([
      [0, '90 3C 40'],
      [500, 'F7'],
      [1000, 'F4 05 90 3C 40'],
    ]);
    expect(lines).toEqual([
      '0 90 3C 40',
      `500 fault ${Fault.strayEnd}`,
      `1000 fault ${Fault.undefinedCommon}`,
      `1320 fault ${Fault.strayData}`,
      '1640 90 3C 40',
    ]);
    expect(stream.isTorn).toBe(false);
  });

  test('the rest of a message that began before is no fault', () => {
    const { lines, stream } = told([[0, '3C 40 90 3C 40']]);
    expect(lines).toEqual(['640 90 3C 40']);
    expect(stream.isTorn).toBe(true);
  });

  test('what somebody else saw is told as if it had come', () => {
    const { lines, stream } = told([[700, '90 3C 40']]);
    stream.told(Fault.strayData);
    expect(lines.at(-1)).toBe(`${700 + 640} fault ${Fault.strayData}`);
    expect(stream.isTorn).toBe(false);
    stream.told('rest');
    expect([stream.isTorn, lines.length]).toEqual([true, 2]);
  });

  test('what is not whole at the end is one', () => {
    const { lines, stream } = told([[0, '90 3C']]);
    expect(lines).toEqual([]);
    stream.finish();
    expect(lines).toEqual([`320 fault ${Fault.truncated}`]);
  });
});
