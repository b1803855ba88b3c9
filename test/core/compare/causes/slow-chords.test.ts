import { expect, test } from 'vitest';
import type { Evidence } from '../../../../src/core/compare/causes/evidence.ts';
import { slowChords } from '../../../../src/core/compare/causes/slow-chords.ts';

interface Laid {
  /** Notes of each chord. */
  readonly chords: readonly number[];
  /** Microseconds from note to note within a chord. */
  readonly gap?: (chord: number) => number;
  /** Messages from note to note. */
  readonly step?: number;
  /** Numbers of notes that did not come. */
  readonly lost?: readonly number[];
  readonly sysEx?: readonly number[];
  readonly grainMicros?: number;
  /** In each chord the last note first. */
  readonly isTurned?: boolean;
}

const BETWEEN = 1000;

/** Notes of a chord `step` messages apart; the first of each chord is message 1000, 2000 … */
function told({
  chords,
  gap = () => 2000,
  step = 1,
  lost = [],
  sysEx = [],
  grainMicros = 0,
  isTurned,
}: Laid) {
  const notes = chords.flatMap((size, chord) => Array.from({ length: size }, (_, n) => ({ chord, n, size })));
  const came = notes
    .filter((_, note) => !lost.includes(note))
    .map(({ chord, n }) => ({
      message: (chord + 1) * BETWEEN + n * step,
      micros: chord * 1e6 + n * gap(chord),
    }));
  let next = 0;
  const heardOf = Int32Array.from(notes, (_, note) => {
    if (lost.includes(note)) return -1;
    next += 1;
    return next - 1;
  });
  if (isTurned) {
    for (let from = 0, chord = 0; chord < chords.length; chord += 1) {
      heardOf.subarray(from, from + chords[chord]!).reverse();
      from += chords[chord]!;
    }
  }
  return slowChords({
    written: { count: notes.length, moment: Uint32Array.from(notes, ({ chord }) => chord) },
    heard: {
      on: {
        message: Uint32Array.from(came, ({ message }) => message),
        micros: Float64Array.from(came, ({ micros }) => micros),
      },
      sysEx: { message: Uint32Array.from(sysEx) },
    },
    matched: { matching: { heardOf } },
    grainMicros,
  } as unknown as Evidence);
}

const some = (count: number, size = 3) => new Array<number>(count).fill(size);

test('is told where from message to message half as much again passes as the wire needs (three bytes of 320 µs)', () => {
  const at = (micros: number) => told({ chords: some(8), gap: () => micros });
  expect(at(1440)).toBe(
    'within chords 1.4 ms pass from message to message (8 chords); the wire needs 0.6 to 1.0',
  );
  expect(at(1439)).toBeUndefined();
});

test('and beyond half of what the receiver’s times leave open', () => {
  const at = (micros: number) => told({ chords: some(8), gap: () => micros, grainMicros: 1000 });
  expect(at(1940)).toContain('1.9 ms pass');
  expect(at(1939)).toBeUndefined();
});

test('of eight chords at least, and of the middle one', () => {
  expect(told({ chords: some(8) })).toContain('2.0 ms pass from message to message (8 chords)');
  expect(told({ chords: some(7) })).toBeUndefined();
  // Of eight the fifth is the middle.
  expect(told({ chords: some(8), gap: (chord) => (chord < 4 ? 100 : 3000) })).toContain('3.0 ms');
  expect(told({ chords: some(8), gap: (chord) => (chord < 5 ? 100 : 3000) })).toBeUndefined();
});

test('a chord is two notes that came at least; one note says nothing', () => {
  expect(told({ chords: some(8, 2) })).toContain('8 chords');
  expect(told({ chords: [...some(8, 2), 1, 1, 1] })).toContain('8 chords');
  expect(told({ chords: some(8, 1) })).toBeUndefined();
  // Of one chord one note came, of another none.
  expect(told({ chords: some(10, 2), lost: [1, 2, 3] })).toContain('8 chords');
  expect(told({ chords: some(10, 2), lost: [0] })).toContain('9 chords');
});

test('from its first that came to its last, whichever was written first', () => {
  expect(told({ chords: some(8, 3), isTurned: true })).toContain(
    '2.0 ms pass from message to message (8 chords)',
  );
  expect(told({ chords: some(8, 3), lost: [0, 5] })).toContain(
    '2.0 ms pass from message to message (8 chords)',
  );
});

test('per message: others may be between, up to three a note', () => {
  // Two notes of which the second is so many messages behind.
  const at = (step: number) => told({ chords: some(8, 2), step, gap: () => 2000 * step });
  expect([at(2), at(6), at(7)]).toEqual([
    'within chords 2.0 ms pass from message to message (8 chords); the wire needs 0.6 to 1.0',
    'within chords 2.0 ms pass from message to message (8 chords); the wire needs 0.6 to 1.0',
    undefined,
  ]);
});

test('a SysEx in a chord takes its own time', () => {
  const sysEx = (from: number) => told({ chords: some(8, 2), step: 2, gap: () => 9000, sysEx: [from] });
  expect(sysEx(BETWEEN + 1)).toBeUndefined();
  // Before the chord, and behind its last note, it does not.
  expect(sysEx(BETWEEN - 1)).toContain('8 chords');
  expect(sysEx(BETWEEN + 3)).toContain('8 chords');
  expect(told({ chords: some(9, 2), step: 2, gap: () => 9000, sysEx: [5, BETWEEN + 1] })).toContain(
    '(8 chords)',
  );
});
