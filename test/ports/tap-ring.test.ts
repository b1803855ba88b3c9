import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { MockPort } from '../../src/ports/mock/mock-port.ts';
import { type OutputPort, WRITE_DONE, WRITE_FULL } from '../../src/ports/output-port.ts';
import { TapRing } from '../../src/ports/tap-ring.ts';
import { TappedPort } from '../../src/ports/tapped-port.ts';
import { bytesOf, hexOf } from '../support/stream-log.ts';

describe('the ring to the recording thread', () => {
  it('gives back what was put in, in order, round and round its memory', () => {
    const writer = new TapRing();
    const reader = new TapRing(writer.buffer);
    // Lengths are drawn; the bytes follow from them, since drawing megabytes would take long.
    const shape = fc.tuple(fc.nat(3), fc.integer({ min: 1, max: 3000 }), fc.nat());
    let total = 0;
    fc.assert(
      fc.property(fc.array(shape, { minLength: 20, maxLength: 60, size: 'max' }), (shapes) => {
        const messages = shapes.map(([port, length, tenths]) => {
          const bytes = Uint8Array.from({ length }, (_, at) => (at * 7 + length) & 0xff);
          return { port, bytes, micros: tenths / 10 };
        });
        for (const { port, bytes, micros } of messages)
          writer.put(port, bytes, 0, bytes.length, Float64Array.of(micros));
        const got: typeof messages = [];
        reader.drain((port, bytes, micros) => got.push({ port, bytes: Uint8Array.from(bytes), micros }));
        expect(got.length).toBe(messages.length);
        for (const [index, { port, bytes, micros }] of messages.entries()) {
          expect(got[index]!.port).toBe(port);
          expect(got[index]!.micros).toBe(micros);
          expect(Buffer.compare(got[index]!.bytes, bytes)).toBe(0);
          total += bytes.length;
        }
      }),
      { numRuns: 60 },
    );
    expect(total).toBeGreaterThan(2 << 20); // twice round at least
    expect(reader.lost).toBe(0);
  });

  it('counts what it has no room for, and takes up again', () => {
    const ring = new TapRing();
    const block = new Uint8Array(1000);
    for (let i = 0; i < 1100; i += 1) ring.put(0, block, 0, 1000, Float64Array.of(i));
    const kept: number[] = [];
    ring.drain((_port, _bytes, micros) => kept.push(micros));
    expect(kept).toHaveLength(1100 - ring.lost);
    expect(ring.lost).toBeGreaterThan(0);
    expect(kept).toEqual(kept.map((_, index) => index)); // the oldest are kept, none in between is missing
    ring.put(0, block, 0, 3, Float64Array.of(9));
    ring.drain((_port, bytes) => expect(bytes).toHaveLength(3));
  });
});

describe('a tapped port', () => {
  it('tells of what the port took, and of nothing else', () => {
    const told: string[] = [];
    const mock = new MockPort({ record: true, capacityBytes: 4 });
    const port: OutputPort = new TappedPort(mock, (bytes, start, length, at) =>
      told.push(`${at[0]} ${hexOf(bytes.subarray(start, start + length))}`),
    );
    expect(port.write(bytesOf('00 90 3C 40'), 1, 3, Float64Array.of(7, 0))).toBe(WRITE_DONE);
    expect(port.write(bytesOf('91 3C 40'), 0, 3, Float64Array.of(8, 0))).toBe(WRITE_FULL);
    expect(told).toEqual(['7 90 3C 40']);
    expect(port).toMatchObject({ name: 'mock', wire: mock.wire });
  });
});
