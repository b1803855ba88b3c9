import fc from 'fast-check';
import { expect, test } from 'vitest';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { WRITE_DONE, WRITE_FULL } from '../../../src/ports/output-port.ts';

const message = fc.record({
  waitMicros: fc.oneof(fc.constant(0), fc.nat(5000)),
  length: fc.oneof(fc.integer({ min: 1, max: 3 }), fc.nat(900)),
});

test('bytes follow one another at the pace of the wire, never before they were handed over, with a gap after each message', () => {
  fc.assert(
    fc.property(
      fc.array(message, { maxLength: 30, size: 'max' }),
      fc.constantFrom(0, 70),
      fc.constantFrom(undefined, 4, 300),
      (messages, gapMicros, capacityBytes) => {
        // A byte of ten bits at 31,250 baud takes 320 µs (MIDI 1.0, p. 1).
        const wire = { ...MIDI_WIRE, gapMicros };
        const all = new MockPort({
          wire,
          record: true,
          ...(capacityBytes !== undefined && { capacityBytes }),
        });
        const last = new MockPort({ wire, ...(capacityBytes !== undefined && { capacityBytes }) });
        const bytes: number[] = [];
        const times: number[] = [];
        let now = 0;
        let free = 0;
        for (const { waitMicros, length } of messages) {
          now += waitMicros;
          const data = Uint8Array.from({ length: length + 2 }, (_, at) => (at * 7 + length) & 127);
          const waiting = Math.max(0, free - now) / 320;
          const isFull = waiting > 0 && waiting + length > (capacityBytes ?? Infinity);
          const outcome = isFull ? WRITE_FULL : WRITE_DONE;
          for (const port of [all, last])
            expect(port.write(data, 1, length, Float64Array.of(now, 0))).toBe(outcome);
          if (isFull) continue;
          free = Math.max(free, now);
          for (let at = 0; at < length; at += 1) {
            bytes.push(data[1 + at]!);
            times.push(free);
            free += 320;
          }
          free += gapMicros;
        }
        const kept = all.recorded();
        expect([...kept.bytes]).toEqual(bytes);
        expect([...kept.micros]).toEqual(times);
        // Without a record the end of it is kept, however long it plays.
        const tail = last.recorded();
        expect(last.bytesTaken).toBe(bytes.length);
        expect([...tail.bytes]).toEqual(bytes.slice(-4096));
        expect([...tail.micros]).toEqual(times.slice(-4096));
      },
    ),
    { numRuns: 60 },
  );
});
