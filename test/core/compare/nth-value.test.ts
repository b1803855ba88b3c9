import fc from 'fast-check';
import { expect, test } from 'vitest';
import { nthValue } from '../../../src/core/compare/nth-value.ts';

const number = fc.oneof(fc.integer({ min: -5, max: 5 }), fc.double({ noNaN: true }));

test('is what sorting would put there, for any values, many of them alike', () => {
  fc.assert(
    fc.property(fc.array(number, { minLength: 1, maxLength: 200 }), fc.nat(), (values, any) => {
      const place = any % values.length;
      const sorted = Float64Array.from(values).sort();
      // −0 and 0 are one value here.
      expect(nthValue(Float64Array.from(values), place) + 0).toBe(sorted[place]! + 0);
    }),
  );
});

test('ascending, descending, all alike and up and down: none of them takes long', () => {
  const count = 200_000;
  const shapes = [(n: number) => n, (n: number) => -n, () => 7, (n: number) => Math.abs(n - count / 2)];
  for (const shape of shapes) {
    const values = Float64Array.from({ length: count }, (_, n) => shape(n));
    const sorted = values.slice().sort();
    expect(nthValue(values, count >> 1)).toBe(sorted[count >> 1]);
  }
});
