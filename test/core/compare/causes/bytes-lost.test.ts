import { expect, test } from 'vitest';
import { bytesLost } from '../../../../src/core/compare/causes/bytes-lost.ts';
import type { Evidence } from '../../../../src/core/compare/causes/evidence.ts';
import { wholeSong } from '../../../../src/core/compare/coverage.ts';
import { noteDifferences } from '../../../../src/core/compare/note-differences.ts';
import { Fault, type FaultKind } from '../../../../src/core/midi/stream-fault.ts';
import { type LaidNote, songRows } from '../laid-notes.ts';
import { type HeardAs, laidBeside } from '../matched-notes.ts';

/** Sixty notes; as many messages, so that what is heard of them has its place for the number of messages before it. */
const SONG = Array.from(
  { length: 60 },
  (_, n): LaidNote => ({ at: n * 500_000, key: 30 + n, off: n * 500_000 + 1000 }),
);
const ALL = SONG.map((note, of): HeardAs => ({ ...note, of }));
const without = (...lost: number[]) => ALL.filter(({ of }) => !lost.includes(of));

interface Told {
  readonly faults?: readonly (readonly [FaultKind, message: number])[];
  readonly unheard?: readonly number[];
  readonly bytes?: number;
  /** [written] of which track each note is. */
  readonly trackOf?: (note: number) => number;
}

function told(
  came: readonly HeardAs[],
  { faults = [], unheard = [], bytes = 3000, trackOf = () => 0 }: Told = {},
) {
  const columns = songRows(SONG);
  for (let row = 0; row < columns.count; row += 1) columns.track[row] = trackOf(row >> 1);
  const laid = laidBeside(columns, came, {
    heard: {
      bytes,
      faults: {
        count: faults.length,
        micros: new Float64Array(faults.length),
        kind: Uint8Array.from(faults, ([kind]) => kind),
        message: Uint32Array.from(faults, ([, message]) => message),
        byKind: [],
      },
    },
  });
  const coverage = wholeSong(SONG.length);
  for (const note of unheard) coverage.isUnheard[note] = 1;
  const notes = noteDifferences(laid.written, laid.heard.on, laid.matched, coverage);
  return bytesLost({ ...laid, notes, coverage } as unknown as Evidence);
}
const words = (places: string, missing: number, broken: number, often: number) =>
  `at ${places} messages are broken or gone (${missing} notes missing, ${broken} broken messages): about one byte in ${often}`;

test('nothing is lost where all came, or nothing', () => {
  expect(told(ALL)).toBeUndefined();
  expect(told([])).toBeUndefined();
});

test('a note that is missing is a place; those within twelve messages are of one', () => {
  expect(told(without(10))).toBe(words('1 place', 1, 0, 3000));
  expect(told(without(1))).toBe(words('1 place', 1, 0, 3000));
  // Behind the ninth and behind the 21st of those that came; behind the 22nd.
  expect(told(without(10, 23))).toBe(words('1 place', 2, 0, 3000));
  expect(told(without(10, 24))).toBe(words('2 places', 2, 0, 1500));
  expect(told(without(10, 24), { bytes: 3001 })).toBe(words('2 places', 2, 0, 1501));
  // From one mark to the next, and not from the first.
  expect(told(without(10, 21, 32, 43))).toBe(words('1 place', 4, 0, 3000));
  expect(told(without(10, 11, 12, 40, 59))).toBe(words('2 places', 5, 0, 1500));
});

test('what is before the first that came, and behind the last, is not lost on the way; nor what nobody listened to', () => {
  expect(told(without(0, 1, 2))).toBeUndefined();
  expect(told(without(57, 58, 59))).toBeUndefined();
  expect(told(without(1, 30), { unheard: [1, 30] })).toBeUndefined();
  expect(told(without(1, 30), { unheard: [1] })).toBe(words('1 place', 1, 0, 3000));
});

test('what is broken is: bytes that are left, messages without an end, ends without a beginning', () => {
  for (const kind of [Fault.strayData, Fault.truncated, Fault.strayEnd])
    expect(told(ALL, { faults: [[kind, 7]] })).toBe(words('1 place', 0, 1, 3000));
  for (const kind of [Fault.sysExCut, Fault.undefinedCommon, Fault.undefinedRealTime])
    expect(told(ALL, { faults: [[kind, 7]] })).toBeUndefined();
  // In whatever order they were found.
  expect(
    told(without(30), {
      faults: [
        [Fault.truncated, 50],
        [Fault.truncated, 20],
      ],
    }),
  ).toBe(words('2 places', 1, 2, 1500));
});

test('and a note that came as another, or that is not written', () => {
  const other = ALL.with(20, { ...ALL[20]!, velocity: 1 });
  expect(told(other)).toBe(words('1 place', 0, 0, 3000));
  const strange: HeardAs = { of: -1, key: 5, at: 20 * 500_000 + 9, off: 20 * 500_000 + 99 };
  expect(told([...ALL.slice(0, 21), strange, ...ALL.slice(21)])).toBe(words('1 place', 0, 0, 3000));
  expect(told([...other.slice(0, 34), { ...strange, at: 33 * 500_000 + 9 }, ...other.slice(34)])).toBe(
    words('2 places', 0, 0, 1500),
  );
});

test('whole tracks of which nothing came, up to the last note that did, were not sent: no byte of them is lost', () => {
  const trackOf = (note: number) => (note % 6 === 5 ? 3 : note % 2);
  const absent = ALL.filter(({ of }) => trackOf(of) !== 3);
  expect(told(absent, { trackOf })).toBeUndefined();
  expect(told(absent, { trackOf, faults: [[Fault.undefinedCommon, 9]] })).toContain('10 notes missing');
  // Nine of them, for the last is behind the end. With seven others all ten are more than half of what is missing, with eight not.
  const lose = (others: number) => absent.filter(({ of }) => of % 6 !== 1 || of > 6 * others);
  expect(told(lose(7), { trackOf })).toBeUndefined();
  expect(told(lose(8), { trackOf })).toContain('18 notes missing');
  // A track of the first note alone, which came, is none of them; one whose first note is the song's is.
  expect(told(lose(8), { trackOf: (note) => (note === 0 ? 5 : trackOf(note)) })).toContain(
    '18 notes missing',
  );
  // Of theirs the last of all came.
  const one = ALL.filter(({ of }) => trackOf(of) !== 3 || of === 59);
  expect(told(one, { trackOf })).toContain('9 notes missing');
  const sixth = (others: number) =>
    told(
      ALL.filter(({ of }) => of % 6 !== 0 && (of % 6 !== 1 || of > 6 * others)),
      { trackOf: (note) => (note % 6 === 0 ? 3 : note % 2) },
    );
  expect([sixth(9), sixth(10)?.includes('20 notes missing')]).toEqual([undefined, true]);
  // What nobody listened to is no note of theirs.
  expect(told(lose(6), { trackOf, unheard: [5] })).toBeUndefined();
  expect(told(lose(7), { trackOf, unheard: [5] })).toContain('16 notes missing');
});
