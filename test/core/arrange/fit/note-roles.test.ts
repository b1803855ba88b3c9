import fc from 'fast-check';
import { expect, test } from 'vitest';
import { heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { Role } from '../../../../src/core/arrange/fit/note-role.ts';
import { noteRoles } from '../../../../src/core/arrange/fit/note-roles.ts';
import { type TimedBytes, timelineOf } from '../../../support/timeline-of.ts';

const DRUMS = 1;

/** Roles by asking of each note what else sounds at its moment, once all that is struck then is struck. */
function rolesOneByOne(rows: readonly TimedBytes[], notes: ReturnType<typeof heardNotes>): number[] {
  const all = Array.from({ length: notes.count }, (_, note) => ({
    on: notes.onRow[note]!,
    end: notes.endRow[note]!,
    key: notes.key[note]!,
    loudness: notes.loudness[note]!,
    isDrum: notes.drum[note] === 1,
  }));
  return all.map((self) => {
    if (self.isDrum) return self.key >= 35 && self.key <= 40 ? Role.beat : Role.inner;
    const tuned = all.filter(({ isDrum }) => !isDrum);
    const together = tuned.filter(({ on }) => rows[on]![0] === rows[self.on]![0]);
    // An equal one that was struck before stays the loudest.
    const isLoudest = (others: typeof all) =>
      others.every(
        (other) =>
          other.loudness < self.loudness || (other.loudness === self.loudness && other.on >= self.on),
      );
    if (!isLoudest(together.filter(({ key }) => key === self.key))) return Role.unisonDouble;
    const last = all.findLast(({ on }) => rows[on]![0] === rows[self.on]![0])!.on;
    const sounding = new Set(tuned.filter(({ on, end }) => on <= last && end > last).map(({ key }) => key));
    const [first = 0, second = 0] = [...sounding].sort((a, b) => b - a);
    if (self.key >= Math.min(first, second)) return Role.top;
    if (self.key === Math.min(...sounding)) return Role.bottom;
    return isLoudest(together.filter(({ key }) => (key - self.key) % 12 === 0))
      ? Role.inner
      : Role.octaveDouble;
  });
}

test('a note is melody, bottom, a double or between by all that sounds in its moment', () => {
  const struck = fc.array(
    fc.tuple(
      fc.integer({ min: 0, max: 4 }),
      fc.constantFrom(0x90, 0x90, 0x92, 0x92, 0x91, 0x80),
      fc.constantFrom(0, 34, 35, 40, 41, 52, 64, 127),
      fc.constantFrom(64, 100),
    ),
    { maxLength: 16 },
  );
  fc.assert(
    fc.property(struck, (list) => {
      const rows = [...list]
        .sort((a, b) => a[0] - b[0])
        .map(([step, ...bytes]): TimedBytes => [step * 100_000, ...bytes]);
      const columns = timelineOf(rows);
      const notes = heardNotes(columns, [DRUMS]);
      expect([...noteRoles(columns, notes)]).toEqual(rolesOneByOne(rows, notes));
    }),
    { numRuns: 400 },
  );
});

test('what has ended, be it a drum or within the moment itself, is no part of it; the lowest keys count as well', () => {
  const roles = (...rows: TimedBytes[]) => {
    const columns = timelineOf(rows);
    return [...noteRoles(columns, heardNotes(columns, [DRUMS]))];
  };
  const S = 1_000_000;
  const chord = (at: number, ...keys: number[]) => keys.map((key): TimedBytes => [at, 0x90, key, 64]);
  // A drum ends, and a note on its key, before the chord.
  const drum: TimedBytes[] = [
    [0, 0x91, 36, 64],
    [S / 10, 0x81, 36, 64],
    [S, 0x90, 36, 64],
    [2 * S, 0x80, 36, 64],
  ];
  expect(roles(...drum, ...chord(3 * S, 48, 60, 64)).slice(2)).toEqual([Role.bottom, Role.top, Role.top]);
  // The highest of all ends between two strikes of one moment.
  const held: TimedBytes = [0, 0x90, 127, 64];
  const off: TimedBytes = [S, 0x80, 127, 64];
  expect(roles(held, ...chord(S, 48, 60), off, ...chord(S, 64)).slice(1)).toEqual([
    Role.bottom,
    Role.top,
    Role.top,
  ]);
  expect(roles(...chord(0, 5, 10, 20))).toEqual([Role.bottom, Role.top, Role.top]);
  expect(roles(...chord(0, 5, 31, 32, 63, 64, 95, 96))).toEqual([
    Role.bottom,
    ...[Role.inner, Role.inner, Role.inner, Role.inner],
    ...[Role.top, Role.top],
  ]);
});
