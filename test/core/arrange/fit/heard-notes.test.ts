import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { DRUM_MICROS, heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { Role } from '../../../../src/core/arrange/fit/note-role.ts';
import { noteWeights } from '../../../../src/core/arrange/fit/note-weights.ts';
import { type TimedBytes, timelineOf } from '../../../support/timeline-of.ts';
import { columnsOfText } from './rows-as-text.ts';

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
        {
          weight: 3,
          arbitrary: fc.tuple(
            fc.constant(0xb0),
            fc.constantFrom(...[64, 64, 64, 66, 66, 66, 69, 69], ...[7, 11, 120, 121, 123, 127, 1]),
            fc.constantFrom(0, 63, 64, 127),
          ),
        },
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
      { numRuns: 100 },
    );
  });

  /** [notes] row with which each ends. */
  const ends = (...lines: string[]) => Array.from(heardNotes(columnsOfText(...lines), [DRUMS]).endRow);
  const struck = ['0 90 3C 40', '1 B0 PP 7F', '2 80 3C 40'];
  const under = (pedal: string, ...more: string[]) =>
    ends(...struck.map((line) => line.replace('PP', pedal)), ...more);

  test.each(['40', '42', '45'])('pedal %s holds it until it is up', (pedal) => {
    expect(under(pedal, `3 B0 ${pedal} 40`, `4 B0 ${pedal} 3F`)).toEqual([4]);
    expect(under(pedal, '3 B1 40 00', '3 B1 42 00', '3 B1 45 00')).toEqual([6]);
    expect(under(pedal, '3 B0 79 00')).toEqual([3]);
    // Soft and portamento hold nothing.
    expect(under('43')).toEqual([2]);
  });

  test.each(['40', '42', '45'])(
    'pedal %s holds on the last channel as on the first, to the last key',
    (pedal) => {
      const lines = [
        '0 9F 7F 40',
        `1 BF ${pedal} 7F`,
        '2 8F 7F 40',
        '3 9E 00 40',
        `4 BF ${pedal} 00`,
        '5 8E 00 40',
      ];
      expect(ends(...lines)).toEqual([4, 5]);
      expect(ends(...lines.slice(0, 4), '4 BF 79 00')).toEqual([4, 5]);
    },
  );

  test('two pedals hold it until both are up', () => {
    expect(under('40', '3 B0 45 7F', '4 B0 40 00', '5 B0 45 00')).toEqual([5]);
    expect(under('45', '3 B0 40 7F', '4 B0 45 00', '5 B0 40 00')).toEqual([5]);
    expect(under('42', '3 B0 40 7F', '4 B0 42 00', '5 B0 40 00')).toEqual([5]);
    expect(under('40', '3 B0 42 7F', '4 B0 40 00')).toEqual([4]);
  });

  test('sostenuto holds what is down as it goes down, and catches no more while it is', () => {
    const second = ['3 90 40 40', '4 B0 42 7F', '5 80 40 40', '6 B0 42 00'];
    expect(under('42', ...second)).toEqual([6, 5]);
    // Only of its channel, to its last key; what is struck on a key that is caught is not.
    expect(ends('0 91 00 40', '1 90 7F 40', '2 B0 42 7F', '3 81 00 40', '4 80 7F 40')).toEqual([3, 5]);
    expect(under('42', '3 90 3C 40', '4 80 3C 40')).toEqual([3, 4]);
  });

  test('a key struck twice is let go twice; a mode message forgets how often', () => {
    expect(ends('0 90 3C 40', '1 90 3C 40', '2 80 3C 40', '3 80 3C 40')).toEqual([1, 3]);
    expect(ends('0 90 3C 40', '1 90 3C 40', '2 B0 7B 00', '3 90 3C 40', '4 80 3C 40')).toEqual([1, 2, 4]);
    expect(ends('0 90 3C 40', '1 90 3C 40', '2 B0 78 00', '3 90 3C 40', '4 80 3C 40')).toEqual([1, 2, 4]);
    expect(ends('0 9F 7F 40', '1 BF 78 00', '2 9E 7F 40', '3 BE 7A 00', '4 B0 78 00')).toEqual([1, 5]);
    // What was let go once too often is not owed to the next strike.
    expect(ends('0 80 3C 40', '1 90 3C 40', '2 80 3C 40')).toEqual([2]);
  });

  test('a drum is over at the first row half a second on', () => {
    expect(ends('0 91 24 40', '499 B5 01 00', '500 B5 01 00')).toEqual([2]);
    expect(ends('0 91 24 40', '10 81 24 40', '500 B5 01 00')).toEqual([1]);
    expect(ends('0 91 24 40', '10 91 26 40', '500 B5 01 00', '510 B5 01 00')).toEqual([2, 3]);
    expect(ends('0 90 24 40', '500 B5 01 00')).toEqual([2]);
  });

  test('program and bank as they were chosen at the strike: a bank counts from the next program', () => {
    const notes = heardNotes(
      columnsOfText(
        ...['0 90 3C 40', '1 B0 00 02', '2 B0 20 03', '3 90 3C 40', '4 C0 05', '5 90 3C 40'],
        ...['6 B0 00 04', '7 C0 06', '8 90 3C 40', '9 B0 20 7F', '10 B0 20 01', '11 C0 06', '12 90 3C 40'],
        ...['13 CF 07', '14 9F 7F 40'],
      ),
      [],
    );
    const [low, high] = [3, 1];
    expect(Array.from(notes.bank)).toEqual([0, 0, 2 * 128 + low, 4 * 128 + low, 4 * 128 + high, 0]);
    expect(Array.from(notes.program)).toEqual([0, 0, 5, 6, 6, 7]);
    expect(Array.from(notes.channel)).toEqual([0, 0, 0, 0, 0, 15]);
    expect(Array.from(notes.velocity)).toEqual([64, 64, 64, 64, 64, 64]);
  });

  test('volume 100 and expression 127 by themselves (GM1), each of its channel; a reset puts expression back', () => {
    const loud = (...lines: string[]) => {
      const { loudness } = heardNotes(columnsOfText(...lines, '9 90 3C 7F'), []);
      return Math.round(loudness.at(-1)! * 127 ** 2);
    };
    expect(loud()).toBe(100 * 127);
    expect(loud('0 B0 07 32', '1 B1 07 01', '2 BF 0B 01')).toBe(50 * 127);
    expect(loud('0 B0 0B 40')).toBe(100 * 64);
    expect(loud('0 B0 0B 40', '1 B0 79 00')).toBe(100 * 127);
    expect(loud('0 B0 0B 40', '1 B0 78 00', '2 B0 7B 00', '3 B0 7A 00')).toBe(100 * 64);
  });
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
