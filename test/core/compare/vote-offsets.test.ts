import { describe, expect, test } from 'vitest';
import { voteOffsets } from '../../../src/core/compare/vote-offsets.ts';
import type { WrittenMusic } from '../../../src/core/compare/written-music.ts';
import { heardNotes } from './laid-notes.ts';

/** Offsets are counted in bins of 30 ms, and found as the middle of two. */
const BIN = 30_000;
const SECOND = 1_000_000;

interface Laid {
  readonly at: number;
  /** Times at which its key was heard. */
  readonly came: readonly number[];
}

/** Each note of a song has a key and channel of its own. */
function vote(notes: readonly Laid[]) {
  const key = (n: number) => n & 127;
  const channel = (n: number) => n >> 7;
  const heard = notes
    .flatMap(({ came }, n) => came.map((at) => ({ at, key: key(n), channel: channel(n) })))
    .sort((a, b) => a.at - b.at);
  const written = {
    count: notes.length,
    channel: Uint8Array.from(notes, (_, n) => channel(n)),
    key: Uint8Array.from(notes, (_, n) => key(n)),
  } as unknown as WrittenMusic;
  return voteOffsets(
    written,
    heardNotes(heard),
    Float64Array.from(notes, ({ at }) => at),
  );
}

/** Notes a second apart; how much later each came, undefined: it did not. */
const laid = (
  count: number,
  late: (n: number) => number | undefined,
  at = (n: number) => n * SECOND,
): Laid[] =>
  Array.from({ length: count }, (_, n) => {
    const by = late(n);
    return { at: at(n), came: by === undefined ? [] : [at(n) + by] };
  });

test('all at one offset: each stretch is found there', () => {
  const found = vote(laid(240, () => 10 * BIN));
  // A stretch of twelve notes each, told at its seventh.
  expect(found.stretches).toEqual(
    Array.from({ length: 20 }, (_, n) => ({ at: (12 * n + 6) * SECOND, offset: 10.5 * BIN, support: 1 })),
  );
  expect(found).toMatchObject({ rate: 1, start: 10.5 * BIN });
  expect(found.support).toBeCloseTo(1, 12);
});

test('two bins that touch count together, and the earlier is named', () => {
  const at = (some: (n: number) => number) => vote(laid(20, (n) => some(n) * BIN)).stretches[0];
  expect(at((n) => (n < 10 ? 10 : 11))).toMatchObject({ offset: 10.5 * BIN, support: 1 });
  expect(at((n) => (n < 8 ? 10 : n < 14 ? 12 : 13))).toMatchObject({ offset: 12.5 * BIN, support: 12 / 20 });
  // Of equals the first.
  expect(at((n) => (n < 10 ? -3 : 20))).toMatchObject({ offset: -2.5 * BIN, support: 0.5 });
});

test('there are forty-eight stretches at most, and one at least', () => {
  const stretches = (count: number) => vote(laid(count, () => 0)).stretches;
  expect([1, 11, 23, 24, 35, 36].map((count) => stretches(count).length)).toEqual([1, 1, 1, 2, 2, 3]);
  expect(stretches(588)).toHaveLength(48);
  expect(stretches(600).map(({ at }) => at)).toEqual(
    Array.from({ length: 48 }, (_, n) => Math.floor((n + 0.5) * 12.5) * SECOND),
  );
  expect(vote([])).toEqual({ start: 0, rate: 1, support: 0, stretches: [] });
});

test('a stretch is found where four tenths of its notes agree', () => {
  const of20 = (came: number) => vote(laid(20, (n) => (n < came ? 0 : undefined)));
  expect(of20(8)).toMatchObject({ support: 0.4, stretches: [{ support: 0.4 }] });
  expect(of20(7)).toMatchObject({ support: 0.35, stretches: [] });
});

test('forty-eight notes vote for a stretch, around its middle, and within the song', () => {
  // Of a hundred the first forty-eight came. The eight middles are 6, 18, 31, 43, 56, 68, 81, 93; the first who votes stands 24
  // before, from 0 to 52.
  const shares = [48, 48, 41, 29, 16, 4, 0, 0].map((came) => came / 48);
  const found = vote(laid(100, (n) => (n < 48 ? 0 : undefined)));
  expect(found.support).toBeCloseTo(shares.reduce((a, b) => a + b) / 8, 12);
  expect(found.stretches.map(({ support }) => support)).toEqual(shares.filter((share) => share >= 0.4));
});

test('a trill has one vote a bin', () => {
  const trill = Array.from({ length: 8 }, (_, n) => 50 * BIN + n);
  const found = vote([
    { at: 0, came: trill },
    ...[1, 2, 3].map((n) => ({ at: n * SECOND, came: [n * SECOND] })),
  ]);
  expect(found.stretches).toMatchObject([{ offset: BIN / 2, support: 3 / 4 }]);
  // Strikes in two bins have two.
  const two = vote([
    { at: 0, came: [50 * BIN, 51 * BIN] },
    { at: SECOND, came: [SECOND] },
  ]);
  expect(two.stretches).toMatchObject([{ offset: 50.5 * BIN, support: 1 }]);
});

test('more than four hundred strikes of a key do not all vote: of so many every second', () => {
  // The last but one of them is where another note has it.
  const support = (strikes: number) => {
    const came = Array.from({ length: strikes }, (_, n) => (n - strikes + 2) * 3 * BIN);
    return vote([
      { at: 0, came },
      { at: SECOND, came: [SECOND] },
    ]).support;
  };
  expect(support(400)).toBe(1);
  // Number 399 of 401 is odd, and number 400 of 402 is even.
  expect(support(401)).toBe(0.5);
  expect(support(402)).toBe(1);
});

describe('stretches that agree', () => {
  /** Two halves, of four stretches each; the second so much later in the song, and shifted. */
  const halves = (apart: number, bins: number) =>
    vote(
      laid(
        96,
        (n) => (n < 48 ? 0 : bins * BIN),
        (n) => (n < 48 ? 0 : apart),
      ),
    ).stretches.map(({ offset }) => offset / BIN - 0.5);

  test('are no farther apart than 300 ms, and a fiftieth of the time between them', () => {
    expect(halves(0, 9)).toEqual([0, 0, 0, 0, 9, 9, 9, 9]);
    expect(halves(0, 10)).toEqual([0, 0, 0, 0]);
    expect(halves(3 * SECOND, 12)).toEqual([0, 0, 0, 0]);
    expect(halves(3 * SECOND + 1, 12)).toHaveLength(8);
    expect(halves(3 * SECOND + 1, -12)).toHaveLength(8);
  });

  test('are those of the most', () => {
    // Of forty stretches of twelve the first few are far from all others.
    const found = vote(
      laid(
        480,
        (n) => (n < 120 ? 0 : 100 * BIN),
        () => 0,
      ),
    );
    expect(new Set(found.stretches.map(({ offset }) => offset))).toEqual(new Set([100.5 * BIN]));
    expect(found.start).toBe(100.5 * BIN);
  });

  test('tell the speed where there are three at least', () => {
    /** Found at some stretches of twelve alone: each has ten notes at either end of the 48 that vote. */
    const at = (...stretches: number[]) =>
      vote(
        laid(480, (n) => {
          const place = stretches.findIndex((one) => {
            const from = n - (12 * one - 18);
            return (from >= 0 && from < 10) || (from >= 38 && from < 48);
          });
          return place < 0 ? undefined : place * 20 * BIN;
        }),
      );
    expect(at(5, 25)).toMatchObject({ rate: 1, stretches: [{ support: 20 / 48 }, { support: 20 / 48 }] });
    // Six tenths of a second later every 120.
    const three = at(5, 15, 25);
    expect(three.stretches).toHaveLength(3);
    expect(three.rate).toBeCloseTo(1.005, 9);
    expect(three.start).toBeCloseTo(BIN / 2 - 66 * SECOND * 0.005, 2);
  });
});
