import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readByteDump } from '../../../src/core/capture/byte-dump.ts';
import { EVENT_LOG_HEAD, eventLogLine, eventLogRemark } from '../../../src/core/capture/event-log.ts';

const text = (value: string) => new TextEncoder().encode(value);

describe('dumps are known by their content', () => {
  it('any log we write is read back, bytes and times, whatever the port is called', () => {
    const message = fc.record({
      micros: fc.integer({ min: 0, max: 1e12 }).map((tenths) => tenths / 10),
      port: fc.string(),
      bytes: fc.uint8Array({ minLength: 1, maxLength: 40 }),
    });
    fc.assert(
      fc.property(fc.array(message), (messages) => {
        const log = messages.map(
          ({ micros, port, bytes }) => eventLogLine(micros, port, bytes) + eventLogRemark(micros, port, 'x'),
        );
        const dump = readByteDump(text(EVENT_LOG_HEAD + log.join('')));
        expect(dump).toEqual({
          kind: 'timed',
          chunks: messages.map(({ micros, bytes }) => ({ micros, bytes })),
        });
      }),
    );
  });

  it('any cut of a log loses no more than the line it cut', () => {
    const log =
      EVENT_LOG_HEAD +
      eventLogLine(5, 'a', Uint8Array.of(0x90, 60, 64)) +
      eventLogLine(6, 'b', Uint8Array.of(0x80, 60, 64));
    const lines = [...log.matchAll(/\n/g)].map(({ index }) => index);
    for (let length = EVENT_LOG_HEAD.length; length <= log.length; length += 1) {
      const whole = lines.filter((at) => at < length).length - 1;
      const dump = readByteDump(text(log.slice(0, length)));
      const count = dump.kind === 'timed' ? dump.chunks.length : -1;
      // A line may be whole but for the words at its end.
      expect([whole, whole + 1]).toContain(count);
    }
  });

  it('bytes without times are taken as they are, even when they look a little like text', () => {
    for (const bytes of [
      Uint8Array.of(0x90, 60, 64),
      text('hello'),
      new Uint8Array(0),
      Uint8Array.of(0x31, 0x20, 0x90),
    ]) {
      expect(readByteDump(bytes)).toEqual({ kind: 'bytes', bytes });
    }
  });

  it.each([
    ['1 90 3C 40', [[1, [0x90, 0x3c, 0x40]]]],
    [
      '\n# words\n\n0.5   F8\n  \n7\tF8 f8 \n',
      [
        [0.5, [0xf8]],
        [7, [0xf8, 0xf8]],
      ],
    ],
    ['1\tport\t90 3C 40', [[1, [0x90, 0x3c, 0x40]]]],
    ['1\tport 2\tF8\tTiming Clock\tand more', [[1, [0xf8]]]],
    ['1 F8\n2 F', [[1, [0xf8]]]],
    [
      '1 F8\r\n2 F8\r\n',
      [
        [1, [0xf8]],
        [2, [0xf8]],
      ],
    ],
    ['# wirepit record\n', []],
  ])('lines with times: %j', (dump, chunks) => {
    expect(readByteDump(text(dump))).toEqual({
      kind: 'timed',
      chunks: chunks.map(([micros, bytes]) => ({ micros, bytes: Uint8Array.from(bytes as number[]) })),
    });
  });

  it.each([
    ['# wirepit record\nx\n', 2],
    ['1 F8\n\n# x\n-1 F8\n', 4],
    ['1 F8\n1. F8\n', 2],
    ['1 F8\n1 F8 8\n', 2],
    ['1 F8\n1\n', 2],
    ['1 F8\n1\tF8\tF8 G0\n', 2],
    ['1 F8\nx1 F8\n', 2],
    ['1 F8\n1 F8 x\n', 2],
  ])('a line that is none is named: %j', (dump, line) => {
    expect(readByteDump(text(dump))).toEqual({ kind: 'broken', line });
  });

  it('a long log is read whole, and known by its first line however long the heading', () => {
    const lines = Array.from({ length: 2000 }, (_, n) => `${n} 90 3C 40`);
    const dump = readByteDump(text(lines.join('\n')));
    expect(dump.kind === 'timed' && dump.chunks.map(({ micros }) => micros)).toEqual([...lines.keys()]);
    // Not within the first 4,096 bytes, and no heading of ours: bytes.
    expect(readByteDump(text(`#${'x'.repeat(4100)}\n1 F8`)).kind).toBe('bytes');
    expect(readByteDump(text(`#${'x'.repeat(4000)}\n1 F8`)).kind).toBe('timed');
  });

  it('a line of the log: whole microseconds or a tenth, the port on one line, what it means', () => {
    expect(eventLogLine(500_000, 'a\tb\nc\rd', Uint8Array.of(0x90, 60, 64))).toBe(
      '500000\ta b c d\t90 3C 40\tchannel 1: note on C4, velocity 64\n',
    );
    expect(eventLogLine(0.25, 'a', Uint8Array.of(0xf8))).toBe('0.3\ta\tF8\tTiming Clock\n');
    expect(eventLogLine(1, 'a', Uint8Array.of(0xc1, 0))).toBe(
      '1\ta\tC1 00\tchannel 2: program 1 Acoustic Grand Piano\n',
    );
    expect(eventLogLine(1, 'a', Uint8Array.of(0xf0, 0x7e, 0x7f, 9, 1, 0xf7))).toBe(
      '1\ta\tF0 7E 7F 09 01 F7\tGeneral MIDI System On, 6 bytes\n',
    );
    expect(eventLogRemark(1.6, 'a\tb', 'lost')).toBe('# 2\ta b\tlost\n');
  });

  it('a song is none, and a broken line is named', () => {
    expect(readByteDump(text('MThd'))).toEqual({ kind: 'song' });
    expect(readByteDump(text('1 90 3C 40\r\n2 9Z\r\n3 90\r\n'))).toEqual({ kind: 'broken', line: 2 });
  });
});
