import fc from 'fast-check';
import { expect, test } from 'vitest';
import { Fed } from '../../../src/engine/input/input-feed.ts';
import { InputRing } from '../../../src/engine/input/input-ring.ts';

const NOW = Float64Array.of(0);

function taken(ring: InputRing): { what: number; bytes: number[]; micros: number }[] {
  const all = [];
  for (let what = ring.take(NOW); what !== Fed.nothing; what = ring.take(NOW)) {
    all.push({ what, bytes: [...ring.bytes.subarray(0, ring.count)], micros: ring.arrivedMicros[0]! });
  }
  return all;
}

test('messages come out as they went in, through another view, each with its run time', () => {
  const chunk = fc.uint8Array({ minLength: 1, maxLength: 40 });
  fc.assert(
    fc.property(fc.array(chunk, { maxLength: 40 }), fc.nat(1000), (chunks, origin) => {
      const writer = new InputRing();
      const reader = new InputRing(writer.buffer);
      reader.begin(origin);
      for (const [n, bytes] of chunks.entries()) writer.putBytes(bytes, bytes.length, n * 20_000);
      const entries = taken(reader);
      expect(entries.flatMap(({ bytes }) => bytes)).toEqual(chunks.flatMap((bytes) => [...bytes]));
      let at = 0;
      for (const [n, bytes] of chunks.entries()) {
        for (let left = bytes.length; left > 0; at += 1) {
          left -= entries[at]!.bytes.length;
          expect(entries[at]!.micros).toBe(n * 20_000 - origin);
        }
      }
    }),
    { numRuns: 50 },
  );
});

test('where the writer has gone round, the reader is told so once, and has the newest', () => {
  const ring = new InputRing();
  const count = 20_000;
  for (let n = 0; n < count; n += 1) ring.putBytes(Uint8Array.of(0xfe), 1, n);
  ring.put(Fed.lost, count);
  const entries = taken(ring);
  expect(entries.map(({ what }) => what).filter((what) => what !== Fed.bytes)).toEqual([Fed.cut, Fed.lost]);
  expect(entries[0]!.what).toBe(Fed.cut);
  expect(entries.slice(1).map(({ micros }) => micros)).toEqual(
    Array.from({ length: 4096 }, (_, n) => count - 4095 + n),
  );
  ring.putBytes(Uint8Array.of(0xf8), 1, 0);
  expect(taken(ring).map(({ bytes }) => bytes)).toEqual([[0xf8]]);
});

test('a second reader goes on where the first stopped, and both know how the input is', () => {
  const ring = new InputRing();
  expect(ring.input).toBe(Fed.nothing);
  ring.put(Fed.back, 0);
  ring.putBytes(Uint8Array.of(0x90, 60, 1), 3, 0);
  ring.take(NOW);
  const second = new InputRing(ring.buffer);
  expect(second.input).toBe(Fed.back);
  expect(taken(second).map(({ bytes }) => bytes)).toEqual([[0x90, 60, 1]]);
});
