import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { MockPort } from '../../src/ports/mock-port.ts';
import { type OutputPort, WRITE_DONE, WRITE_FULL } from '../../src/ports/output-port.ts';
import { TapRing } from '../../src/ports/tap-ring.ts';
import { TappedPort } from '../../src/ports/tapped-port.ts';
import { bytesOf, hexOf } from '../support/stream-log.ts';

describe('the ring to the recording thread', () => {
  it('gives back what was put in, in order, round and round its memory', () => {
    const writer = new TapRing();
    const reader = new TapRing(writer.buffer);
    const message = fc.tuple(
      fc.nat(3),
      fc.uint8Array({ minLength: 1, maxLength: 300, size: 'max' }),
      fc.double({ min: 0, max: 1e12, noNaN: true }),
    );
    let total = 0;
    fc.assert(
      fc.property(fc.array(message, { minLength: 100, maxLength: 200, size: 'max' }), (messages) => {
        for (const [port, bytes, micros] of messages)
          writer.put(port, bytes, 0, bytes.length, Float64Array.of(micros));
        const got: unknown[] = [];
        reader.drain((port, bytes, micros) => got.push([port, Uint8Array.from(bytes), micros]));
        expect(got).toEqual(messages);
        total += messages.reduce((sum, [, bytes]) => sum + bytes.length, 0);
      }),
      { numRuns: 150 },
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
