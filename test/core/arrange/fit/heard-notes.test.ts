import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { DRUM_MICROS, heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { Role } from '../../../../src/core/arrange/fit/note-role.ts';
import { noteWeights } from '../../../../src/core/arrange/fit/note-weights.ts';
import { type TimedBytes, timelineOf } from '../../../support/timeline-of.ts';

const DRUMS = 1;

/** Three channels, one of them with drums, and three keys: all that can meet does, and often enough. */
const messages: fc.Arbitrary<TimedBytes[]> = fc.array(
  fc
    .tuple(
      fc.integer({ min: 0, max: 30 }),
      fc.constantFrom(0, 0, 0, DRUMS, 2),
      fc.oneof(
        {
          weight: 3,
          arbitrary: fc.tuple(
            fc.constantFrom(0x90, 0x80),
            fc.integer({ min: 60, max: 62 }),
            fc.constantFrom(0, 1, 90),
          ),
        },
        fc.tuple(
          fc.constant(0xb0),
          fc.constantFrom(7, 11, 64, 66, 66, 66, 69, 120, 121, 123, 127, 1),
          fc.constantFrom(0, 63, 64, 127),
        ),
        fc.tuple(fc.constant(0xc0), fc.constantFrom(0, 70)),
        fc.tuple(fc.constant(0xe0), fc.constant(0), fc.constant(70)),
      ),
    )
    .map(([step, channel, [status, ...data]]): TimedBytes => [step * 50_000, status + channel, ...data]),
  { maxLength: 40, size: 'max' },
);

interface Heard {
  readonly on: number;
  end: number;
  readonly place: string;
  readonly program: number;
  readonly loudness: number;
}

/**
 * The same by asking, after every message and for every note, whether anything still holds it: written from what
 * MIDI 1.0 says of keys, pedals and modes, and sharing nothing with the walk. One sound for each key.
 */
function heardOneByOne(rows: readonly TimedBytes[]): Heard[] {
  const heard: Heard[] = [];
  const channels = [0, 1, 2].map(() => ({
    keys: new Map<number, number>(),
    caught: new Set<number>(),
    down: new Set<number>(),
    program: 0,
    volume: 100,
    expression: 127,
  }));
  for (const [row, [, status, data1 = 0, data2 = 0]] of rows.entries()) {
    const at = channels[status! & 3]!;
    const [place, prefix] = [`${status! & 3} ${data1}`, `${status! & 3} `];
    const finish = (which: (note: Heard) => boolean) => {
      for (const note of heard) if (note.end === rows.length && which(note)) note.end = row;
    };
    const kind = status! & 0xf0;
    if (kind === 0xc0) at.program = data1;
    if (kind === 0x90 && data2 > 0) {
      finish((note) => note.place === place);
      at.keys.set(data1, (at.keys.get(data1) ?? 0) + 1);
      at.caught.delete(data1);
      const loudness = (data2 / 127) * (at.volume / 127) * (at.expression / 127);
      heard.push({ on: row, end: rows.length, place, program: at.program, loudness });
    } else if (kind === 0x90 || kind === 0x80) at.keys.set(data1, Math.max(0, (at.keys.get(data1) ?? 0) - 1));
    else if (kind === 0xb0) {
      if (data1 === 7) at.volume = data2;
      if (data1 === 11) at.expression = data2;
      if (data1 === 64 || data1 === 69) at.down[data2 >= 64 ? 'add' : 'delete'](data1);
      if (data1 === 66 && data2 >= 64 !== at.down.has(66)) {
        at.down[data2 >= 64 ? 'add' : 'delete'](66);
        at.caught = new Set(data2 >= 64 ? [...at.keys].filter(([, n]) => n > 0).map(([key]) => key) : []);
      }
      if (data1 === 121) {
        at.down.clear();
        at.caught.clear();
        at.expression = 127;
      }
      if (data1 === 120 || data1 >= 123) at.keys.clear();
      if (data1 === 120) finish((note) => note.place.startsWith(prefix));
    }
    const isHeld = (key: number) =>
      (at.keys.get(key) ?? 0) > 0 || at.caught.has(key) || at.down.has(64) || at.down.has(69);
    finish((note) => note.place.startsWith(prefix) && !isHeld(Number(note.place.slice(2))));
  }
  return heard;
}

describe('the notes of a song as they are heard', () => {
  test('a key sounds while it, a pedal or the sostenuto holds it, and until it is struck again', () => {
    fc.assert(
      fc.property(messages, (written) => {
        const rows = written
          .map((row, order) => ({ row, order }))
          .sort((a, b) => a.row[0] - b.row[0] || a.order - b.order)
          .map(({ row }) => row);
        const columns = timelineOf(rows);
        const notes = heardNotes(columns, [DRUMS]);
        const expected = heardOneByOne(rows);
        const over = (on: number) => rows[on]![0] + DRUM_MICROS;
        expect(notes.count).toBe(expected.length);
        for (const [note, { on, end, place, program, loudness }] of expected.entries()) {
          const isDrum = place.startsWith(`${DRUMS} `);
          const faded = rows.findIndex(([micros], row) => row > on && micros >= over(on));
          const last = isDrum && faded >= 0 ? Math.min(end, faded) : end;
          const is = [notes.onRow[note], notes.endRow[note], notes.program[note], notes.drum[note]];
          expect(is).toEqual([on, last, program, isDrum ? 1 : 0]);
          expect(`${notes.channel[note]} ${notes.key[note]}`).toBe(place);
          expect(notes.loudness[note]).toBeCloseTo(loudness, 12);
        }
      }),
      { numRuns: 250 },
    );
  });
});

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
      expect([...noteWeights(columns, notes, 1).role]).toEqual(rolesOneByOne(rows, notes));
    }),
    { numRuns: 400 },
  );
});

describe('how much is heard of a note', () => {
  // Struck at once: two highest, the lowest, one between, an octave and a unison double, softer; and three drums.
  const struck: TimedBytes[] = [
    ...[48, 55, 64, 72].map((key): TimedBytes => [0, 0x90, key, 127]),
    [0, 0x90, 60, 64],
    [0, 0x92, 64, 64],
    ...[36, 42].map((key): TimedBytes => [0, 0x91, key, 127]),
  ];
  const columns = timelineOf([
    [0, 0xb0, 7, 127],
    [0, 0xb1, 7, 127],
    [0, 0xb2, 7, 127],
    [0, 0xc0, 16],
    ...struck,
  ]);
  const notes = heardNotes(columns, [DRUMS]);
  const roles = [
    Role.bottom,
    Role.inner,
    Role.top,
    Role.top,
    Role.octaveDouble,
    Role.unisonDouble,
    Role.beat,
  ];

  test('by what it is in its moment; the weights stand in docs/fit.md', () => {
    const { role, weight } = noteWeights(columns, notes, 1);
    expect([...role]).toEqual([...roles, Role.inner]);
    const loud = (64 / 127) ** 1.2;
    const expected = [1.5, 1, 2, 2, 0.6 * loud, 0.3 * loud, 2, 1];
    for (const [note, one] of expected.entries()) expect(weight[note]).toBeCloseTo(one, 12);
  });

  test('melody and beat count for more by what is asked for, and nothing else does', () => {
    const [plain, kept] = [1, 3].map((keep) => noteWeights(columns, notes, keep).weight);
    const more = [...plain!].map((weight, note) => kept![note]! / weight);
    expect(more.map((times) => Math.round(times * 1e9) / 1e9)).toEqual([1, 1, 3, 3, 1, 1, 3, 1]);
  });

  test('an organ sounds on, what is struck dies away, drums first of all', () => {
    const { decay } = noteWeights(columns, notes, 1);
    const [organ, piano, drum] = [decay[0]!, decay[5]!, decay[6]!];
    expect(organ).toBeGreaterThan(piano);
    expect(piano).toBeGreaterThan(drum);
    expect(drum).toBeGreaterThan(0);
  });
});
