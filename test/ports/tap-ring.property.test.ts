import fc from 'fast-check';
import { expect, test } from 'vitest';
import { TapRing } from '../../src/ports/tap-ring.ts';

/** From the layout that stands above `TapRing`: entries of 16 bytes and the bytes, filled up to 16, never over the end. */
const CAPACITY = 1 << 20;
const sizeOf = (length: number) => 16 + Math.ceil(length / 16) * 16;

/** The ring as a list: which messages wait, and where the next one is put. */
class RingModel {
  readonly waiting: { port: number; length: number; micros: number }[] = [];
  lost = 0;
  #written = 0;
  #read = 0;

  put(port: number, length: number, micros: number): void {
    const toEnd = CAPACITY - (this.#written % CAPACITY);
    const skipped = sizeOf(length) <= toEnd ? 0 : toEnd;
    if (skipped + sizeOf(length) > CAPACITY - (this.#written - this.#read)) {
      this.lost += 1;
      return;
    }
    this.#written += skipped + sizeOf(length);
    this.waiting.push({ port, length, micros });
  }

  drain(): typeof this.waiting {
    this.#read = this.#written;
    return this.waiting.splice(0);
  }
}

const step = fc.oneof(
  {
    weight: 12,
    arbitrary: fc.record({
      port: fc.nat(15),
      // Exactly at a border of 16, beside it, small, and a good part of the whole ring.
      length: fc.oneof(fc.nat(20), fc.constantFrom(15, 16, 17, 32), fc.integer({ min: 1, max: 400_000 })),
      micros: fc.double({ min: 0, max: 1e12, noNaN: true }),
    }),
  },
  { weight: 1, arbitrary: fc.constant('drain' as const) },
);

test('what has room comes out whole and in order, what has none is counted: for every length and filling', () => {
  const data = Uint8Array.from({ length: 400_064 }, (_, at) => (at * 31 + (at >> 8)) & 0xff);
  const whole = Buffer.from(data.buffer);
  // One ring for all runs, so that entries lie at every place of it.
  const ring = new TapRing();
  const reader = new TapRing(ring.buffer);
  const model = new RingModel();
  const drain = (): void => {
    const meant = model.drain();
    let at = 0;
    reader.drain((port, bytes, micros) => {
      expect({ port, length: bytes.length, micros }).toEqual(meant[at]);
      expect(Buffer.compare(bytes, whole.subarray(7, 7 + bytes.length))).toBe(0);
      at += 1;
    });
    expect(at).toBe(meant.length);
    expect(reader.lost).toBe(model.lost);
  };
  fc.assert(
    fc.property(fc.array(step, { maxLength: 30 }), (steps) => {
      for (const one of steps) {
        if (one === 'drain') drain();
        else {
          ring.put(one.port, data, 7, one.length, Float64Array.of(one.micros));
          model.put(one.port, one.length, one.micros);
        }
      }
      drain();
    }),
    // Chance alone does not fill it in one series of runs in some hundreds.
    { numRuns: 120, examples: [[new Array(4).fill({ port: 1, length: 400_000, micros: 5 })]] },
  );
  expect(model.lost).toBeGreaterThan(0);
});

test('exactly as much as it holds has room, and not one entry more', () => {
  const ring = new TapRing();
  const data = new Uint8Array(48);
  for (let n = 0; n < CAPACITY / sizeOf(48); n += 1) ring.put(0, data, 0, 48, Float64Array.of(n));
  expect(ring.lost).toBe(0);
  ring.put(0, data, 0, 0, Float64Array.of(0));
  expect(ring.lost).toBe(1);
});

test('whoever may wait for room is held while there is none, and no longer', () => {
  const ring = new TapRing();
  const asked = (length: number, mostMs: number): boolean => {
    const began = performance.now();
    ring.waitForRoom(length, mostMs);
    return performance.now() - began >= mostMs;
  };
  // An empty ring: at once (a minute would be noticed by the test's own limit).
  ring.waitForRoom(1000, 60_000);
  const data = new Uint8Array(500_000);
  ring.put(0, data, 0, 500_000, Float64Array.of(0));
  ring.waitForRoom(100_000, 60_000);
  ring.put(0, data, 0, 400_000, Float64Array.of(0));
  expect(asked(100_000, 30)).toBe(true);
  ring.drain(() => {});
  ring.waitForRoom(100_000, 60_000);
});
