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

test('the bytes come out as they went in, through another view, each entry with the time of its last byte', () => {
  const chunk = fc.uint8Array({ minLength: 1, maxLength: 40 });
  fc.assert(
    fc.property(fc.array(chunk, { maxLength: 40 }), fc.nat(1000), (chunks, origin) => {
      const writer = new InputRing();
      const reader = new InputRing(writer.buffer);
      reader.origin[0] = origin;
      for (const [n, bytes] of chunks.entries()) writer.putBytes(bytes, n * 20_000, 320);
      const entries = taken(reader);
      expect(entries.flatMap(({ bytes }) => bytes)).toEqual(chunks.flatMap((bytes) => [...bytes]));
      let at = 0;
      for (const [n, bytes] of chunks.entries()) {
        for (let left = bytes.length; left > 0; at += 1) {
          left -= entries[at]!.bytes.length;
          expect(entries[at]!.micros).toBe(n * 20_000 - left * 320 - origin);
        }
      }
    }),
    { numRuns: 50 },
  );
});

test('what had no room is told as a loss, behind everything that had', () => {
  const ring = new InputRing();
  const most = 8192;
  for (let n = 0; n < most + 5; n += 1) ring.putBytes(Uint8Array.of(0xfe), n, 0);
  const entries = taken(ring);
  expect(entries).toHaveLength(most + 1);
  expect(entries.at(-1)!.what).toBe(Fed.lost);
  ring.put(Fed.back, 0);
  expect(taken(ring).map(({ what }) => what)).toEqual([Fed.back]);
});
