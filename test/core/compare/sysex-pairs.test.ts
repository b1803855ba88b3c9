import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { HeardSysEx } from '../../../src/core/compare/heard-music.ts';
import { changeIn, likestSysEx, pairEqualSysEx } from '../../../src/core/compare/sysex-pairs.ts';
import type { SysExPlace } from '../../../src/core/compare/sysex-places.ts';
import type { WrittenSysEx } from '../../../src/core/compare/written-sysex.ts';

type Came = readonly [message: number, ...bytes: number[]];

function heardSysEx(came: readonly Came[]): HeardSysEx {
  let length = 0;
  return {
    count: came.length,
    micros: Float64Array.from(came, ([message]) => message * 1000),
    cut: new Uint8Array(came.length),
    message: Uint32Array.from(came, ([message]) => message),
    bytes: Uint8Array.from(came.flatMap(([, ...bytes]) => bytes)),
    end: Uint32Array.from(came, ([, ...bytes]) => {
      length += bytes.length;
      return length;
    }),
  };
}

const written = (bytes: readonly number[]) => ({ bytes: Uint8Array.from(bytes) }) as WrittenSysEx;
const within = (after: number, before: number): SysExPlace => ({ part: 'within', after, before });
const NOWHERE: SysExPlace = { part: 'outside', after: -1, before: Number.POSITIVE_INFINITY };

/** Written ones of one byte each with their places, and what came; which is which. */
function paired(ours: readonly (readonly [byte: number, place: SysExPlace])[], came: readonly Came[]) {
  const { heardOf, writtenOf } = pairEqualSysEx(
    ours.map(([byte]) => written([byte])),
    ours.map(([, place]) => place),
    heardSysEx(came),
  );
  for (const [n, found] of heardOf.entries()) if (found >= 0) expect(writtenOf[found]).toBe(n);
  expect(writtenOf.filter((n) => n >= 0)).toHaveLength(heardOf.filter((n) => n >= 0).length);
  return [...heardOf];
}

describe('equal ones are paired', () => {
  test('in order where as many came as are written, wherever they stand', () => {
    expect(
      paired(
        [
          [1, within(50, 60)],
          [2, within(0, 9)],
          [1, within(1, 2)],
        ],
        [
          [7, 1],
          [8, 2],
          [90, 1],
        ],
      ),
    ).toEqual([0, 1, 2]);
  });

  test('only with what is equal', () => {
    expect(
      paired(
        [
          [1, within(0, 9)],
          [2, within(0, 9)],
        ],
        [[5, 3]],
      ),
    ).toEqual([-1, -1]);
    expect(paired([], [[5, 3]])).toEqual([]);
    expect(paired([[1, within(0, 9)]], [])).toEqual([-1]);
  });

  test('else by their places, both ends of which are in them', () => {
    const three = [
      [1, within(10, 20)],
      [1, within(30, 40)],
      [1, within(50, 60)],
    ] as const;
    expect(
      paired(three, [
        [10, 1],
        [60, 1],
      ]),
    ).toEqual([0, -1, 1]);
    expect(
      paired(three, [
        [20, 1],
        [50, 1],
      ]),
    ).toEqual([0, -1, 1]);
    expect(
      paired(three, [
        [30, 1],
        [40, 1],
      ]),
    ).toEqual([-1, 0, 1]);
    expect(paired(three, [[35, 1]])).toEqual([-1, 0, -1]);
    expect(paired(three, [[55, 1]])).toEqual([-1, -1, 0]);
  });

  test('more than are written: each takes the first in its place', () => {
    expect(
      paired(
        [
          [1, within(10, 20)],
          [1, within(30, 40)],
        ],
        [
          [5, 1],
          [15, 1],
          [16, 1],
          [35, 1],
        ],
      ),
    ).toEqual([1, 3]);
  });

  test('what stands in no place, between two pairs, is paired in order', () => {
    const three = [
      [1, within(10, 20)],
      [1, within(30, 40)],
      [1, within(50, 60)],
    ] as const;
    // Too late for the second, too early for the third.
    expect(
      paired(three, [
        [15, 1],
        [45, 1],
      ]),
    ).toEqual([0, 1, -1]);
    expect(
      paired(three, [
        [15, 1],
        [45, 1],
        [55, 1],
        [56, 1],
      ]),
    ).toEqual([0, 1, 2]);
    // Two between the first and the third: the first of them is it.
    expect(
      paired(
        [...three, [1, within(70, 80)]],
        [
          [15, 1],
          [45, 1],
          [46, 1],
          [55, 1],
          [75, 1],
        ],
      ),
    ).toEqual([0, 1, 3, 4]);
    // Two for two, and one more behind.
    expect(
      paired(
        [...three, [1, within(70, 80)]],
        [
          [15, 1],
          [45, 1],
          [46, 1],
          [75, 1],
          [76, 1],
        ],
      ),
    ).toEqual([0, 1, 2, 3]);
    // Before the first of all.
    expect(
      paired(three, [
        [5, 1],
        [35, 1],
      ]),
    ).toEqual([0, 1, -1]);
    // Where the next that came is another's, nothing is left.
    expect(
      paired(three, [
        [35, 1],
        [55, 1],
      ]),
    ).toEqual([-1, 0, 1]);
  });

  test('one outside the recording takes what is in its place, and nothing from between', () => {
    const outside = (after: number, before: number): SysExPlace => ({ part: 'outside', after, before });
    const inside = [1, within(50, 60)] as const;
    expect(paired([[1, outside(-1, 20)], inside], [[15, 1]])).toEqual([0, -1]);
    expect(paired([[1, outside(-1, 20)], inside], [[30, 1]])).toEqual([-1, 0]);
    expect(paired([inside, [1, outside(80, Number.POSITIVE_INFINITY)]], [[85, 1]])).toEqual([-1, 0]);
  });

  test('and none at all where no note says where it belongs', () => {
    const inside = [1, within(50, 60)] as const;
    expect(paired([[1, NOWHERE], inside], [[55, 1]])).toEqual([-1, 0]);
    expect(paired([inside, [1, NOWHERE]], [[55, 1]])).toEqual([0, -1]);
    // A note before it says so, if it is the first of all messages.
    expect(paired([[1, { ...NOWHERE, after: 0 }], inside], [[55, 1]])).toEqual([0, -1]);
    // Within the recording such a one takes what there is.
    expect(paired([[1, { ...NOWHERE, part: 'within' }], inside], [[55, 1]])).toEqual([0, -1]);
  });
});

describe('the likest', () => {
  const OURS = [1, 2, 3, 4];
  const likest = (
    came: readonly Came[],
    place = within(10, 20),
    isOpen: (n: number) => boolean = () => true,
  ) => likestSysEx(written(OURS), place, heardSysEx(came), isOpen);

  test('is the one in its place that differs least, and of equals the first', () => {
    expect(
      likest([
        [12, 1, 2, 3, 9],
        [13, 1, 2, 9, 9],
      ]),
    ).toBe(0);
    expect(
      likest([
        [12, 1, 2, 9, 9],
        [13, 1, 2, 3, 9],
      ]),
    ).toBe(1);
    expect(
      likest([
        [12, 1, 2, 3, 9],
        [13, 1, 2, 9, 4],
      ]),
    ).toBe(0);
    expect(likest([])).toBe(-1);
  });

  test('is so by half at least, of the longer of the two', () => {
    expect(likest([[12, 1, 2, 9, 9]])).toBe(0);
    expect(likest([[12, 1, 9, 9, 9]])).toBe(-1);
    // Four of eight bytes are in both, then four of nine.
    expect(likest([[12, 1, 2, 9, 9, 9, 9, 3, 4]])).toBe(0);
    expect(likest([[12, 1, 2, 9, 9, 9, 9, 9, 3, 4]])).toBe(-1);
    expect(likest([[12, 1, 4]])).toBe(0);
    expect(likest([[12, 1]])).toBe(-1);
  });

  test('stands in its place, both ends of which are in it', () => {
    expect(
      likest([
        [9, ...OURS],
        [10, 1, 2, 3, 9],
      ]),
    ).toBe(1);
    expect(likest([[21, ...OURS]])).toBe(-1);
    expect(likest([[20, ...OURS]])).toBe(0);
  });

  test('is none that is taken; sixteen that are open are held against it', () => {
    const isOdd = (n: number) => n % 2 === 1;
    expect(
      likest(
        [
          [12, ...OURS],
          [13, 1, 2, 3, 9],
        ],
        undefined,
        isOdd,
      ),
    ).toBe(1);
    const many = (worse: number): Came[] => [
      ...Array.from({ length: worse }, (): Came => [12, 1, 2, 9, 9]),
      [13, ...OURS],
    ];
    expect(likest(many(15))).toBe(15);
    expect(likest(many(16))).toBe(0);
    // Of those that are not open any number passes, up to 1024.
    const lastAlone = (count: number) => likest(many(count), undefined, (n) => n === count);
    expect(lastAlone(1023)).toBe(1023);
    expect(lastAlone(1024)).toBe(-1);
  });
});

describe('the stretch in which two differ', () => {
  const change = (ours: readonly number[], theirs: readonly number[]) =>
    changeIn(Uint8Array.from(ours), Uint8Array.from(theirs));

  test.each([
    ['one byte', [1, 2, 3], [1, 9, 3], 1, 2, 2],
    ['the first', [1, 2, 3], [9, 2, 3], 0, 1, 1],
    ['the last', [1, 2, 3], [1, 2, 9], 2, 3, 3],
    ['one that is gone', [1, 2, 3], [1, 3], 1, 2, 1],
    ['one more', [1, 3], [1, 2, 3], 1, 1, 2],
    ['a double that is gone', [5, 5, 5], [5, 5], 2, 3, 2],
    ['nothing', [1, 2], [1, 2], 2, 2, 2],
    ['everything', [1], [2, 3], 0, 1, 2],
    ['of nothing', [], [7], 0, 0, 1],
  ])('%s', (_, ours, theirs, from, oursTo, theirsTo) => {
    expect(change(ours, theirs)).toEqual({ from, oursTo, theirsTo });
  });

  test('what is put in its place makes one of the other, and nothing shorter does', () => {
    const few = fc.array(fc.integer({ min: 0, max: 2 }), { maxLength: 7 });
    fc.assert(
      fc.property(few, few, (ours, theirs) => {
        const { from, oursTo, theirsTo } = change(ours, theirs);
        const made = [...ours.slice(0, from), ...theirs.slice(from, theirsTo), ...ours.slice(oursTo)];
        expect(made).toEqual(theirs);
        expect(Math.min(oursTo, theirsTo)).toBeGreaterThanOrEqual(from);
        const isEnd = oursTo === from || theirsTo === from;
        if (!isEnd) {
          expect(ours[from]).not.toBe(theirs[from]);
          expect(ours[oursTo - 1]).not.toBe(theirs[theirsTo - 1]);
        }
      }),
    );
  });
});
