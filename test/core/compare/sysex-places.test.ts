import { describe, expect, test } from 'vitest';
import type { HeardMusic } from '../../../src/core/compare/heard-music.ts';
import { SysExPlaces } from '../../../src/core/compare/sysex-places.ts';
import type { WrittenMusic } from '../../../src/core/compare/written-music.ts';
import type { WrittenSysEx } from '../../../src/core/compare/written-sysex.ts';

const APART = 500_000;
const LOST = -1;

interface Laid {
  readonly count: number;
  /** [written] number of the message it came as; where nothing is said three times its own number. `LOST`: it did not come. */
  readonly message?: (note: number) => number;
  readonly micros?: (note: number) => number;
  readonly track?: (note: number) => number;
  readonly moment?: (note: number) => number;
}

const numbers = (count: number) => Array.from({ length: count }, (_, n) => n);

/** Notes half a second apart, of which number n stands in row 10 n. */
function places({ count, message = (n) => 3 * n, ...laid }: Laid): SysExPlaces {
  const { micros = (n) => n * APART, track = () => 0, moment = (n) => n } = laid;
  const notes = numbers(count);
  const came = notes.filter((note) => message(note) !== LOST);
  const written = {
    count,
    row: Uint32Array.from(notes, (n) => 10 * n),
    micros: Float64Array.from(notes, micros),
    track: Uint16Array.from(notes, track),
    moment: Uint32Array.from(notes, moment),
  } as unknown as WrittenMusic;
  const on = {
    message: Uint32Array.from(came, message),
    micros: Float64Array.from(came, (n) => 7_000_000 + micros(n)),
  };
  const heardOf = Int32Array.from(notes, (note) => came.indexOf(note));
  return new SysExPlaces(written, { on } as unknown as HeardMusic, {
    heardOf,
    writtenOf: Int32Array.from(came),
    matched: came.length,
  });
}

/** One that stands behind a note and before the next, half the way; in the notes' own track. */
function behind(note: number, some: Partial<WrittenSysEx> = {}): WrittenSysEx {
  const row = 10 * note + 5;
  return { row, lastRow: row, micros: (note + 0.5) * APART, track: 0, ...some } as WrittenSysEx;
}

const EVERYWHERE = { after: -1, before: Number.POSITIVE_INFINITY };

describe('between which messages it belongs', () => {
  test('behind the note before it, before the note behind it', () => {
    expect(places({ count: 40 }).placeOf(behind(20))).toEqual({ part: 'within', after: 60, before: 63 });
  });

  test('sixteen notes are asked on each side, wherever they came', () => {
    const moved = (note: number, to: number) =>
      places({ count: 60, message: (n) => (n === note ? to : 3 * n) }).placeOf(behind(20));
    expect(moved(20 - 15, 61)).toMatchObject({ after: 61, before: 63 });
    expect(moved(20 - 16, 61)).toMatchObject({ after: 60, before: 63 });
    expect(moved(21 + 15, 62)).toMatchObject({ after: 60, before: 62 });
    expect(moved(21 + 16, 62)).toMatchObject({ after: 60, before: 63 });
  });

  test('notes that did not come are none of the sixteen', () => {
    const place = places({ count: 60, message: (n) => (n === 20 || n === 22 ? LOST : n === 4 ? 58 : 3 * n) });
    expect(place.placeOf(behind(20))).toMatchObject({ after: 58, before: 63 });
  });

  test('notes that came the other way round across it say nothing', () => {
    const place = places({ count: 40, message: (n) => (n === 20 ? 66 : 3 * n) });
    expect(place.placeOf(behind(20))).toEqual({ part: 'within', ...EVERYWHERE });
  });

  test('4096 notes are looked at on each side', () => {
    const far = (count: number) => {
      // Sixteen notes, many that did not come, and sixteen again: it stands behind the first or before the last.
      const place = places({
        count: count + 32,
        message: (n) => (n < 16 || n >= count + 16 ? 3 * n : LOST),
      });
      return { before: place.placeOf(behind(15)).before, after: place.placeOf(behind(15 + count)).after };
    };
    expect(far(4095)).toEqual({ before: 3 * (4095 + 16), after: 45 });
    expect(far(4096)).toEqual({ before: Number.POSITIVE_INFINITY, after: -1 });
  });

  test('at the ends of a song there is nothing on one side', () => {
    const place = places({ count: 40 });
    expect(place.placeOf({ ...behind(0), row: 0, lastRow: 0, micros: 0 })).toMatchObject({
      after: -1,
      before: 3,
    });
    expect(place.placeOf(behind(39))).toEqual({
      part: 'outside',
      after: 117,
      before: Number.POSITIVE_INFINITY,
    });
  });

  test('of one in packets, notes between the first and the last packet are on neither side', () => {
    const packets = { row: 195, lastRow: 215 };
    expect(places({ count: 40 }).placeOf(behind(19, packets))).toMatchObject({ after: 57, before: 66 });
    // The row right behind the last packet is behind it.
    expect(places({ count: 40 }).placeOf(behind(19, { row: 191, lastRow: 199 }))).toMatchObject({
      after: 57,
      before: 60,
    });
  });
});

describe('which notes may pass it', () => {
  /** Note 20 stands so much before the SysEx, note 21 so much behind. */
  const near = (before: number, after: number, track: number) => {
    const at = 20.5 * APART;
    return places({
      count: 40,
      micros: (n) => (n === 20 ? at - before : n === 21 ? at + after : n * APART),
    }).placeOf(behind(20, { track }));
  };

  test('of another track those within 40 ms', () => {
    expect(near(40_000, 40_000, 1)).toMatchObject({ after: 57, before: 66 });
    expect(near(40_001, 40_000, 1)).toMatchObject({ after: 60, before: 66 });
    expect(near(40_000, 40_001, 1)).toMatchObject({ after: 57, before: 63 });
  });

  test('of its own none but those before it in its very moment', () => {
    expect(near(1, 1, 0)).toMatchObject({ after: 60, before: 63 });
    expect(near(0, 0, 0)).toMatchObject({ after: 57, before: 63 });
  });
});

describe('how many notes it has passed', () => {
  test('those written before it that came behind it, and the other way round', () => {
    const place = places({ count: 60 });
    // Written behind note 20, which is message 60; sent behind note 23, and behind note 17.
    expect(place.passed(behind(20), 70, 1)).toBe(3);
    expect(place.passed(behind(20), 61, 1)).toBe(0);
    expect(place.passed(behind(20), 52, -1)).toBe(3);
    expect(place.passed(behind(20), 61, -1)).toBe(0);
  });

  test('they are counted up to a thousand', () => {
    const place = places({ count: 1200 });
    expect(place.passed(behind(20), 3 * 1020 + 1, 1)).toBe(1000);
    expect(place.passed(behind(20), 3 * 1021 + 1, 1)).toBe(1000);
    expect(place.passed(behind(20), 3 * 1019 + 1, 1)).toBe(999);
  });

  test('and until sixteen that have not', () => {
    // All behind it came far behind, but for one note.
    const one = (note: number) =>
      places({ count: 60, message: (n) => (n === note ? 61 : n <= 20 ? n : 100 + n) }).passed(
        behind(20),
        62,
        1,
      );
    expect(one(21 + 15)).toBe(1);
    expect(one(21 + 16)).toBe(0);
  });
});

test('the messages of the first and the last note that came, in the order in which they came', () => {
  expect(places({ count: 40 }).span).toEqual({ from: 0, to: 117 });
  const turned = places({ count: 40, message: (n) => (n === 0 || n === 39 ? LOST : 3 * (40 - n)) });
  expect(turned.span).toEqual({ from: 6, to: 117 });
  expect(places({ count: 2, message: () => LOST }).span).toEqual({ from: Number.POSITIVE_INFINITY, to: -1 });
});

describe('when it would have come', () => {
  test.each([
    [1, 1],
    [1.5, 1.5],
    [2.5, 2],
    [0.4, 0.5],
    [0.7, 0.7],
    [0, 1],
  ])('so much before the first note heard, at a rate of %f taken for %f', (rate, taken) => {
    // Notes from the tenth on came, which is written at 5 s and came at 12 s.
    const place = places({ count: 40, message: (n) => (n < 10 ? LOST : n) });
    expect(place.expectedMicros(behind(3), rate)).toBe(12_000_000 - 6.5 * APART * taken);
  });
});

describe('which part of the recording it stands in', () => {
  const of = (isHeard: (note: number) => boolean, note: number, some: Partial<WrittenSysEx> = {}) =>
    places({ count: 140, message: (n) => (isHeard(n) ? n : LOST) }).placeOf(behind(note, some)).part;

  test('from the first note heard to the last it is within; before the song’s first it is at its head', () => {
    const all = () => true;
    expect(of(all, 0)).toBe('within');
    expect(of(all, 138)).toBe('within');
    expect(of(all, 139)).toBe('outside');
    expect(of(all, 0, { row: 0, lastRow: 0 })).toBe('head');
    // In packets that end behind the last note.
    expect(of(all, 138, { lastRow: 1390 })).toBe('within');
    expect(of(all, 138, { lastRow: 1391 })).toBe('outside');
  });

  test('of a part of the song what is before it or behind it is outside', () => {
    const middle = (n: number) => n >= 30 && n < 60;
    expect(of(middle, 29)).toBe('outside');
    expect(of(middle, 30)).toBe('within');
    expect(of(middle, 58)).toBe('within');
    expect(of(middle, 59)).toBe('outside');
    expect(of(() => false, 50)).toBe('outside');
  });

  test('the first moment counts, whichever of its notes came', () => {
    const chord = (moment: (note: number) => number) =>
      places({ count: 100, message: (n) => (n < 1 ? LOST : n), moment }).placeOf(
        behind(0, { row: 0, lastRow: 0 }),
      ).part;
    expect(chord((n) => Math.floor(n / 2))).toBe('head');
    expect(chord((n) => n)).toBe('outside');
  });

  test('a note that was heard alone does not count: of sixteen from it on, or up to it, more than half must have come', () => {
    // The recording goes from note 50 to 79; before and behind it so many came.
    const from = (first: number, more: number) => (n: number) =>
      (n >= 50 && n < 80) || (n >= first && n < first + more);
    expect(of(from(20, 1), 25)).toBe('outside');
    expect(of(from(20, 8), 25)).toBe('outside');
    expect(of(from(20, 9), 25)).toBe('within');
    expect(of(from(90, 1), 85)).toBe('outside');
    expect(of(from(88, 8), 85)).toBe('outside');
    expect(of(from(88, 9), 85)).toBe('within');
  });
});
