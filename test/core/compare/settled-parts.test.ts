import { describe, expect, test } from 'vitest';
import type { ComparisonDocument } from '../../../src/core/compare/comparison-document.ts';
import { SettledParts } from '../../../src/core/compare/settled-parts.ts';
import { NO_SYSEX } from '../../../src/core/compare/sysex-document.ts';
import { bar, comparisonOf } from './page-of.ts';

const NOTES = { song: 10, heard: 10, matched: 10, missing: 0, added: 0, changed: 0, late: 0, unheard: 0 };
type Part = Omit<Partial<ComparisonDocument>, 'notes'> & { notes?: Partial<ComparisonDocument['notes']> };

/** A part that is as written but for what is given. */
const part = ({ notes, ...some }: Part = {}) =>
  comparisonOf({ verdict: 'same', ...some, notes: { ...NOTES, ...notes } });

/** All of them but the last settled, together with that. */
function together(...parts: ComparisonDocument[]): ComparisonDocument {
  const settled = new SettledParts();
  for (const one of parts.slice(0, -1)) settled.add(one, one.causes);
  return settled.with(parts.at(-1)!);
}

const cause = (code: ComparisonDocument['causes'][number]['code'], evidence = '') => ({
  code,
  text: code,
  evidence,
  look: '',
});
const LATENESS = {
  p50Micros: 1,
  p99Micros: 2,
  maxMicros: 3,
  boundMaxMicros: 4,
  histogram: { binMicros: 1, counts: [] },
};

test('a part alone is what it is', () => {
  const one = part({ notes: { missing: 3 }, verdict: 'differs' });
  expect(new SettledParts().with(one)).toBe(one);
});

test('notes, releases, faults and SysEx are summed', () => {
  const counts = (by: number) =>
    part({
      notes: {
        song: by,
        heard: 2 * by,
        matched: 3 * by,
        missing: 4 * by,
        added: 5 * by,
        changed: 6 * by,
        late: 7 * by,
        unheard: 8 * by,
      },
      offs: { missing: 9 * by, added: 10 * by },
      faults: { 'stray data': by, ...(by === 100 && { other: 1 }) },
      sysEx: { ...NO_SYSEX, song: by, late: 3 * by },
    });
  const found = together(counts(1), counts(10), counts(100));
  expect(found).toMatchObject({
    parts: 3,
    notes: {
      song: 111,
      heard: 222,
      matched: 333,
      missing: 444,
      added: 555,
      changed: 666,
      late: 777,
      unheard: 888,
    },
    offs: { missing: 999, added: 1110 },
    faults: { 'stray data': 111, other: 1 },
    sysEx: { song: 111, late: 333, early: 0 },
  });
});

test('what was settled is known, and how much of it', () => {
  const settled = new SettledParts();
  expect([settled.parts, settled.notes.heard]).toEqual([0, 0]);
  settled.add(part({ notes: { heard: 4 } }), []);
  settled.add(part({ notes: { heard: 5 } }), []);
  expect([settled.parts, settled.notes.heard]).toEqual([2, 9]);
});

test('what could not be laid beside the song is added to it', () => {
  const settled = new SettledParts();
  settled.add(part({ faults: { one: 1 } }), []);
  settled.addUnplaced(7, { one: 2, other: 3 });
  const found = settled.with(part());
  expect(found).toMatchObject({
    parts: 3,
    verdict: 'differs',
    notes: { heard: 27, added: 7, matched: 20 },
    faults: { one: 3, other: 3 },
  });
});

test('before all others too', () => {
  const settled = new SettledParts();
  settled.addUnplaced(7, {});
  expect(settled.with(part({ offs: { missing: 1, added: 2 } }))).toMatchObject({
    parts: 2,
    notes: { song: 10, heard: 17, matched: 10, added: 7 },
    offs: { missing: 1, added: 2 },
  });
});

describe('the verdict', () => {
  test('same where every part is', () => {
    expect(together(part(), part()).verdict).toBe('same');
    expect(together(part(), part({ verdict: 'part' })).verdict).toBe('same');
  });

  test('a part where anything was not heard', () => {
    expect(together(part(), part({ notes: { unheard: 1 } })).verdict).toBe('part');
    expect(together(part({ notes: { unheard: 1 } }), part()).verdict).toBe('part');
  });

  const line = { kind: 'missing' } as unknown as ComparisonDocument['differences'][number];
  test.each<[string, Part]>([
    ['missing', { notes: { missing: 1 } }],
    ['added', { notes: { added: 1 } }],
    ['changed', { notes: { changed: 1 } }],
    ['late', { notes: { late: 1 } }],
    ['releases', { offs: { missing: 1, added: 0 } }],
    ['state', { state: [{ channel: 1, what: '7', notes: 1, written: 1, heard: 2, bar: 1 }] }],
    ['hanging', { hanging: [{ channel: 1, key: 60, seconds: 1 }] }],
    ['causes', { causes: [cause('clock-rate')] }],
    ['SysEx', { sysEx: { ...NO_SYSEX, missing: 1, differences: [{}] as never } }],
    ['faults', { faults: { one: 1 } }],
  ])('differs where one does: %s', (_, some) => {
    expect(together(part(some), part()).verdict).toBe('differs');
    expect(together(part(), part(some), part()).verdict).toBe('differs');
    expect(together(part(), part(some)).verdict).toBe('differs');
  });

  test('not by releases too many, nor by what the lists hold', () => {
    expect(together(part({ offs: { missing: 0, added: 5 }, differences: [line] }), part()).verdict).toBe(
      'same',
    );
    expect(together(part(), part({ verdict: 'differs' })).verdict).toBe('differs');
  });

  test('the song it is, where the last part is, or three of ten of the fewer notes are found', () => {
    const of = (matched: number, isTheSong = false) =>
      together(part({ notes: { matched: 0 } }), part({ isTheSong, notes: { matched, heard: 30 } })).isTheSong;
    // Of 20 written and 40 heard.
    expect([of(6), of(7), of(0, true)]).toEqual([false, true, true]);
  });
});

test('a cause is told of the last part in which it is seen, and in how many it is', () => {
  const found = together(
    part({ causes: [cause('bytes-lost', 'a'), cause('clock-rate', 'b')] }),
    part(),
    part({ causes: [cause('bytes-lost', 'c')] }),
    part(),
  );
  expect(found.causes).toMatchObject([
    { code: 'bytes-lost', evidence: 'c', seenIn: 2, part: 3 },
    { code: 'clock-rate', evidence: 'b', seenIn: 1, part: 1 },
  ]);
  const last = together(
    part(),
    part({ causes: [cause('clock-rate')] }),
    part({ causes: [cause('clock-rate')] }),
  );
  expect(last.causes).toMatchObject([{ seenIn: 2, part: 3 }]);
  // Of a part only those that are sure.
  const settled = new SettledParts();
  settled.add(part({ causes: [cause('clock-rate')] }), []);
  expect(settled.with(part()).causes).toEqual([]);
});

test('settings and hanging keys are one line each, settings with the sum of their notes', () => {
  const state = (channel: number, what: string, notes: number, written: number) => ({
    channel,
    what,
    notes,
    written,
    heard: null,
    bar: 1,
  });
  const key = (channel: number, number: number, seconds: number) => ({ channel, key: number, seconds });
  const found = together(
    part({ state: [state(1, '7', 2, 50), state(2, '7', 3, 51)], hanging: [key(1, 60, 5)] }),
    part({
      state: [state(1, '7', 4, 60), state(1, '10', 5, 52)],
      hanging: [key(1, 60, 6), key(1, 61, 7), key(2, 60, 8)],
    }),
  );
  expect(found.state).toEqual([state(1, '7', 6, 50), state(2, '7', 3, 51), state(1, '10', 5, 52)]);
  expect(found.hanging).toEqual([key(1, 60, 6), key(1, 61, 7), key(2, 60, 8)]);
});

test('bars are summed, ascending', () => {
  const found = together(
    part({ bars: [bar(5, { missing: 1, added: 2, changed: 3, late: 4 }), bar(9, { late: 1 })] }),
    part({ bars: [bar(2, { added: 1 }), bar(5, { missing: 10, added: 20, changed: 30, late: 40 })] }),
    part({ bars: [bar(5, { missing: 100 })] }),
  );
  expect(found.bars).toEqual([
    bar(2, { added: 1 }),
    bar(5, { missing: 111, added: 22, changed: 33, late: 44 }),
    bar(9, { late: 1 }),
  ]);
});

test('bars heard are from the first part’s first to the last part’s last', () => {
  const span = (fromBar: number, toBar: number) => ({
    fromBar,
    toBar,
    firstBar: fromBar - 1,
    lastBar: toBar + 1,
  });
  const found = together(part({ span: span(3, 5) }), part({ span: span(6, 8) }), part({ span: span(9, 11) }));
  expect(found.span).toEqual({ fromBar: 3, firstBar: 2, toBar: 11, lastBar: 12 });
});

test('the latest note is of all parts, all else of lateness of the last', () => {
  const late = (maxMicros: number) => part({ lateness: { ...LATENESS, p50Micros: maxMicros, maxMicros } });
  expect(together(late(5), late(9), late(7)).lateness).toEqual({ ...LATENESS, p50Micros: 7, maxMicros: 9 });
  expect(together(late(5), late(9)).lateness?.maxMicros).toBe(9);
  expect(together(late(5), part()).lateness).toBeNull();
  expect(together(part(), late(5)).lateness?.maxMicros).toBe(5);
  // One in which there is no time between them.
  expect(together(late(9), part(), late(5)).lateness?.maxMicros).toBe(9);
});

test('notes held up are summed', () => {
  const held = (notes: number) => part({ standstills: { count: notes, longestMicros: notes, notes } });
  expect(together(held(1), held(10), held(100)).standstills).toEqual({
    count: 100,
    longestMicros: 100,
    notes: 111,
  });
});

test('the first hundred differences are kept, in their order', () => {
  const lines = (from: number, count: number) =>
    Array.from({ length: count }, (_, n) => ({
      seconds: from + n,
    })) as unknown as ComparisonDocument['differences'];
  const sysEx = (from: number, count: number) => ({ ...NO_SYSEX, differences: lines(from, count) as never });
  const found = together(
    part({ differences: lines(0, 60), sysEx: sysEx(0, 60) }),
    part({ differences: lines(60, 30), sysEx: sysEx(60, 30) }),
    part({ differences: lines(90, 30), sysEx: sysEx(90, 30) }),
    part({ differences: lines(500, 30), sysEx: sysEx(500, 30) }),
  );
  const hundred = Array.from({ length: 100 }, (_, n) => n);
  expect(found.differences.map(({ seconds }) => seconds)).toEqual(hundred);
  expect(found.sysEx.differences.map(({ seconds }) => seconds)).toEqual(hundred);
});
