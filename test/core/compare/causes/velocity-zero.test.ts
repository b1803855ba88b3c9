import { describe, expect, test } from 'vitest';
import type { Evidence } from '../../../../src/core/compare/causes/evidence.ts';
import { velocityZero } from '../../../../src/core/compare/causes/velocity-zero.ts';
import { wholeSong } from '../../../../src/core/compare/coverage.ts';
import { heardNotes, type LaidNote } from '../laid-notes.ts';

const SECOND = 1_000_000;

interface Written {
  /** Its release is a note-on with velocity 0. */
  readonly isZero: boolean;
  /** How long it sounds as written; NaN: it is never let go. */
  readonly length?: number;
  /** How long it sounded; NaN: it was never let go. Undefined: it did not come. */
  readonly sounded?: number | undefined;
  readonly key?: number;
}

/** Notes a second apart, on the keys from 40 up; more that were heard beside them. */
function told(notes: readonly Written[], more: readonly LaidNote[] = [], untilMicros = Infinity) {
  const key = (n: number) => notes[n]!.key ?? 40 + n;
  const came = notes.flatMap(({ sounded }, n): (LaidNote & { note: number })[] =>
    sounded === undefined ? [] : [{ at: n * SECOND, key: key(n), off: n * SECOND + sounded, note: n }],
  );
  const all = [...came, ...more.map((note) => ({ ...note, note: -1 }))].sort((a, b) => a.at - b.at);
  const heardOf = Int32Array.from(notes, (_, n) => all.findIndex(({ note }) => note === n));
  const micros = Float64Array.from(notes, (_, n) => n * SECOND);
  return velocityZero({
    heard: { on: heardNotes(all) },
    written: {
      count: notes.length,
      micros,
      channel: new Uint8Array(notes.length),
      key: Uint8Array.from(notes, (_, n) => key(n)),
      offMicros: Float64Array.from(notes, ({ length = SECOND / 2 }, n) => n * SECOND + length),
      offIsZero: Uint8Array.from(notes, ({ isZero }) => (isZero ? 1 : 0)),
    },
    matched: {
      matching: { heardOf, writtenOf: Int32Array.from(all, ({ note }) => note), matched: came.length },
      expected: micros,
      times: micros,
    },
    coverage: { ...wholeSong(notes.length), untilMicros },
  } as unknown as Evidence);
}

const zero = (sounded: number | undefined = SECOND / 2): Written => ({ isZero: true, sounded });
const plain = (sounded: number | undefined = SECOND / 2): Written => ({ isZero: false, sounded });
const some = (count: number, note: Written) => new Array<Written>(count).fill(note);
const LOST = Number.NaN;

describe('releases with velocity 0 that did not come', () => {
  test('are told where there are three, more than six of ten', () => {
    expect(told(some(3, zero(LOST)))).toBe(
      '3 of 3 releases written as note-on with velocity 0 did not come; the song has no others',
    );
    expect(told(some(2, zero(LOST)))).toBeUndefined();
    expect(told([...some(7, zero(LOST)), ...some(4, zero())])).toContain('7 of 11 releases');
    expect(told([...some(6, zero(LOST)), ...some(4, zero())])).toBeUndefined();
    expect(told(some(9, zero()))).toBeUndefined();
  });

  test('and of the others fewer than two of ten are lost', () => {
    const with_ = (lost: number) =>
      told([...some(5, zero(LOST)), ...some(lost, plain(LOST)), ...some(10 - lost, plain())]);
    expect(with_(0)).toBe(
      '5 of 5 releases written as note-on with velocity 0 did not come; of the 10 written as note-off 10 came',
    );
    expect(with_(1)).toContain('of the 10 written as note-off 9 came');
    expect(with_(2)).toBeUndefined();
  });

  test('are lost as well where the next release of that key ended the note: twice its length, and half a second, behind', () => {
    const at = (sounded: number) => told(some(3, zero(sounded)));
    expect(at(1_500_000)).toBeUndefined();
    expect(at(1_500_001)).toContain('3 of 3');
  });

  test('are none of notes that did not come, are never let go, or end behind the recording', () => {
    const other = { isZero: true, sounded: undefined };
    expect(told([...some(3, zero(LOST)), other])).toContain('3 of 3');
    expect(told([...some(3, zero(LOST)), { isZero: true, length: LOST, sounded: LOST }])).toContain('3 of 3');
    // Nobody listened from the middle of the last note on.
    expect(told(some(4, zero(LOST)), [], 3_400_000)).toContain('3 of 3');
    expect(told(some(4, zero(LOST)), [], 3_600_000)).toContain('4 of 4');
    // What came is counted whenever it was due.
    expect(told([...some(3, zero(LOST)), zero()], [], 3_400_000)).toContain('3 of 4');
  });
});

describe('releases with velocity 0 that came as notes', () => {
  /** A strike of the key of a note, so long behind its release. */
  const strike = (note: number, late = 0, key = 40 + note): LaidNote => ({
    at: note * SECOND + SECOND / 2 + late,
    key,
    off: Number.NaN,
  });
  const strikes = (count: number, late = 0) => Array.from({ length: count }, (_, n) => strike(n, late));

  test('are told where there are three, more than half', () => {
    const words = (found: number, all: number) =>
      `${found} of ${all} releases written as note-on with velocity 0 came as notes that sound`;
    expect(told(some(3, zero(LOST)), strikes(3))).toBe(words(3, 3));
    expect(told(some(5, zero()), strikes(3))).toBe(words(3, 5));
    expect(told(some(6, zero()), strikes(3))).toBeUndefined();
    expect(told(some(2, zero()), strikes(2))).toBeUndefined();
  });

  test('within 40 ms of when they were due', () => {
    const at = (late: number) => told(some(3, zero()), strikes(3, late));
    expect([at(40_000), at(-40_000)].map((one) => one?.slice(0, 6))).toEqual(['3 of 3', '3 of 3']);
    expect([at(40_001), at(-40_001)]).toEqual([undefined, undefined]);
  });

  test('of their key, each once, and not of notes whose release is another or that did not come', () => {
    expect(told(some(3, zero()), [strike(0), strike(1), strike(2, 0, 99)])).toBeUndefined();
    expect(told([...some(3, zero()), plain()], [strike(0), strike(1), strike(3)])).toBeUndefined();
    expect(
      told([...some(3, zero()), zero()].toSpliced(1, 1, { isZero: true, sounded: undefined }), strikes(3)),
    ).toBeUndefined();
    // One key, struck four times; the second release came as it ought to.
    const key = 60;
    const same = some(4, { ...zero(), key });
    expect(
      told(
        same,
        [0, 2, 3].map((n) => strike(n, 0, key)),
      ),
    ).toContain('3 of 4');
    expect(
      told(
        same,
        [0, 2].map((n) => strike(n, 0, key)),
      ),
    ).toBeUndefined();
  });
});
