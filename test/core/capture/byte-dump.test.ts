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

  it('a song is none, and a broken line is named', () => {
    expect(readByteDump(text('MThd'))).toEqual({ kind: 'song' });
    expect(readByteDump(text('1 90 3C 40\r\n2 9Z\r\n3 90\r\n'))).toEqual({ kind: 'broken', line: 2 });
  });
});
