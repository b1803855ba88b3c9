import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { alignBytes } from '../../../src/core/loop/align-bytes.ts';
import { byteDamage } from '../../../src/core/loop/byte-damage.ts';
import { loopPattern } from '../../../src/core/loop/loop-pattern.ts';

const SENT = loopPattern({ quiet: false, rounds: 1, whole: false }).bytes;
type Edit = readonly [place: number, kind: 'lose' | 'flip' | 'add', value: number];

/** What is left of the bytes after edits at different places. */
function damagedBy(edits: readonly Edit[]): Uint8Array {
  const at = new Map(edits.map((edit) => [edit[0], edit]));
  const heard: number[] = [];
  for (let place = 0; place < SENT.length; place += 1) {
    const [, kind, value] = at.get(place) ?? [];
    if (kind === 'lose') continue;
    heard.push(kind === 'flip' ? SENT[place]! ^ (1 << (value! & 7)) : SENT[place]!);
    if (kind === 'add') heard.push(value!);
  }
  return Uint8Array.from(heard);
}

const edits = fc.uniqueArray(
  fc.tuple(
    fc.integer({ min: 0, max: SENT.length - 1 }),
    fc.constantFrom('lose', 'flip', 'add'),
    fc.integer({ min: 0, max: 255 }),
  ),
  { selector: ([place]) => Math.floor(place / 24), maxLength: 60 },
) as fc.Arbitrary<Edit[]>;

describe('alignBytes', () => {
  test('finds each lost, changed and added byte of those that were made', () => {
    fc.assert(
      fc.property(edits, (made) => {
        const { lost, changed, added } = byteDamage(SENT, damagedBy(made));
        const count = (kind: string) => made.filter((one) => one[1] === kind).length;
        // Two edits close together may be read another way, at no more cost.
        expect(lost + changed + added).toBeLessThanOrEqual(made.length);
        expect(lost - added).toBe(count('lose') - count('add'));
        expect(lost + changed + added).toBeGreaterThanOrEqual(made.length - 2);
      }),
      { numRuns: 60 },
    );
  });

  test('pairs in order, each byte once, whatever came', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 400 }), fc.uint8Array({ maxLength: 400 }), (sent, heard) => {
        const pairs = [...alignBytes(sent, heard)].filter((at) => at >= 0);
        expect(pairs).toEqual([...new Set(pairs)].sort((a, b) => a - b));
        expect(pairs.every((at) => at < heard.length)).toBe(true);
        const { lost, changed, added, heardOf } = byteDamage(sent, heard);
        expect(heardOf.length - lost + added).toBe(heard.length);
        expect(changed).toBeLessThanOrEqual(Math.min(sent.length, heard.length));
      }),
      { numRuns: 100 },
    );
  });

  test.each([
    ['a long hole', SENT.subarray(0, 900), SENT.subarray(1500), 600],
    ['its end', SENT.subarray(0, 2000), new Uint8Array(0), SENT.length - 2000],
    ['its beginning', new Uint8Array(0), SENT.subarray(700), 700],
  ])('%s is lost and nothing else', (_name, before, after, holes) => {
    const heard = Uint8Array.from([...before, ...after]);
    expect(byteDamage(SENT, heard)).toMatchObject({ lost: holes, changed: 0, added: 0 });
  });

  test('a burst of noise in between is added and nothing else', () => {
    const noise = Uint8Array.from({ length: 700 }, (_, n) => (n * 37 + 11) & 255);
    const heard = Uint8Array.from([...SENT.subarray(0, 1000), ...noise, ...SENT.subarray(1000)]);
    const { lost, changed, added } = byteDamage(SENT, heard);
    expect(added - lost).toBe(700);
    expect(lost + changed).toBeLessThan(12);
  });

  test('a message that comes twice each time is added once each time', () => {
    const heard: number[] = [];
    for (let at = 0; at + 3 <= 900; at += 3)
      heard.push(...SENT.subarray(at, at + 3), ...SENT.subarray(at, at + 3));
    expect(byteDamage(SENT.subarray(0, 900), Uint8Array.from(heard))).toMatchObject({
      lost: 0,
      changed: 0,
      added: 900,
    });
  });

  test('a hundred rounds against as much noise, against one value, are done in bounded steps', () => {
    const long = loopPattern({ quiet: true, rounds: 20, whole: false }).bytes;
    const noise = Uint8Array.from(long, (byte, n) => (byte * 7 + n * n * 13 + (n >> 5)) & 255);
    for (const heard of [noise, new Uint8Array(4 * long.length).fill(0xf8)]) {
      const { lost, added, heardOf } = byteDamage(long, heard);
      expect(heardOf.length - lost + added).toBe(heard.length);
    }
  });
});
