import { describe, expect, test } from 'vitest';
import type { HeardNotes } from '../../../src/core/compare/heard-music.ts';
import { lawTimes } from '../../../src/core/compare/time-laws.ts';
import { inTurnTimes } from '../../../src/core/compare/tracks-in-turn.ts';
import type { WrittenMusic } from '../../../src/core/compare/written-music.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';

describe('laws by which times are made of ticks', () => {
  type Tempos = readonly (readonly [tick: number, microsPerQuarter: number])[];
  const lawsOf = (tempos: Tempos, ticks: readonly number[], micros: readonly number[] = ticks) => {
    const stretches = tempos.map(([tick, microsPerQuarter]) => ({ tick, microsPerQuarter }));
    const found = lawTimes(
      { tempoMap: { stretches }, ticksPerQuarter: 100 } as unknown as Timeline,
      {
        tick: Float64Array.from(ticks),
        micros: Float64Array.from(micros),
        bytes: Float64Array.from(ticks, (_, n) => 3 * n),
      } as unknown as WrittenMusic,
    );
    return found.map(({ law, micros: times }) => [law, ...times]);
  };
  const NONE = ['no-timing', 0, 960];

  test('the song’s own; its first tempo, and 120 a minute, which is half a second a quarter (SMF 1.1, p. 9)', () => {
    expect(
      lawsOf(
        [
          [0, 600_000],
          [100, 300_000],
        ],
        [0, 200],
        [0, 900_000],
      ),
    ).toEqual([['tempo-map', 0, 900_000], ['first-tempo', 0, 1_200_000], ['tempo-120', 0, 1_000_000], NONE]);
  });

  test('one tempo is no change of it, nor is one that is there from the first tick on', () => {
    expect(lawsOf([[0, 600_000]], [0, 100], [0, 600_000]).map(([law]) => law)).toEqual([
      'tempo-map',
      'tempo-120',
      'no-timing',
    ]);
    expect(lawsOf([[0, 500_000]], [0, 100], [0, 600_000]).map(([law]) => law)).toEqual([
      'tempo-map',
      'no-timing',
    ]);
    expect(
      lawsOf(
        [
          [0, 600_000],
          [0, 300_000],
        ],
        [0, 100],
        [0, 300_000],
      ).map(([law]) => law),
    ).toEqual(['tempo-map', 'tempo-120', 'no-timing']);
    expect(
      lawsOf(
        [
          [0, 600_000],
          [1, 300_000],
        ],
        [0, 100],
        [0, 303_000],
      ).map(([law]) => law),
    ).toContain('first-tempo');
  });

  test('none that has every note within a millisecond of where another has it', () => {
    // Of 120 a minute the first tempo is 120 a minute.
    const changes: Tempos = [
      [0, 500_000],
      [100, 300_000],
    ];
    expect(lawsOf(changes, [0, 200], [0, 800_000]).map(([law]) => law)).toEqual([
      'tempo-map',
      'first-tempo',
      'no-timing',
    ]);
    const last = (off: number) => lawsOf([[0, 600_000]], [0, 100], [0, 500_000 + off]).map(([law]) => law);
    expect(last(999)).not.toContain('tempo-120');
    expect(last(-999)).not.toContain('tempo-120');
    expect(last(1000)).toContain('tempo-120');
    expect(last(-1000)).toContain('tempo-120');
  });
});

describe('tracks that are played one after another', () => {
  interface Laid {
    readonly track: number;
    readonly at: number;
    /** Undefined: it did not come. */
    readonly came: number | undefined;
  }

  /** Song times of each note, shifted; undefined where the tracks were played together. */
  function shifted(notes: readonly Laid[], scales: readonly number[] = [1]) {
    const came = notes.filter((note) => note.came !== undefined);
    const laws = scales.map((scale) => ({
      law: 'tempo-map' as const,
      micros: Float64Array.from(notes, ({ at }) => at * scale),
    }));
    const found = inTurnTimes(
      laws,
      {
        count: notes.length,
        track: Uint16Array.from(notes, ({ track }) => track),
      } as unknown as WrittenMusic,
      { micros: Float64Array.from(came, (note) => note.came!) } as unknown as HeardNotes,
      {
        heardOf: Int32Array.from(notes, (note) => came.indexOf(note)),
        writtenOf: new Int32Array(0),
        matched: came.length,
      },
    );
    return found === undefined ? undefined : [...found];
  }

  const SECOND = 1_000_000;
  /** Notes of a track a second apart from the beginning of the song, which came so much later. */
  const track = (number: number, count: number, by: number, from = 0): Laid[] =>
    Array.from({ length: count }, (_, n) => ({
      track: number,
      at: (from + n) * SECOND,
      came: (from + n) * SECOND + by,
    }));

  test('each track’s notes are shifted by how much later it came', () => {
    const found = shifted([...track(0, 6, 100), ...track(7, 6, 10 * SECOND), ...track(2, 6, 20 * SECOND)]);
    const seconds = [0, 1, 2, 3, 4, 5];
    expect(found).toEqual([
      ...seconds.map((n) => n * SECOND + 100),
      ...seconds.map((n) => (10 + n) * SECOND),
      ...seconds.map((n) => (20 + n) * SECOND),
    ]);
  });

  test('in whatever order they came', () => {
    const found = shifted([...track(0, 6, 20 * SECOND), ...track(1, 6, 0), ...track(2, 6, 10 * SECOND)]);
    expect(found?.filter((_, n) => n % 6 === 0)).toEqual([20 * SECOND, 0, 10 * SECOND]);
  });

  test('one late note of a track does not move it', () => {
    const late = track(1, 6, 10 * SECOND).map((note, n) =>
      n === 2 ? { ...note, came: note.came! + 700_000 } : note,
    );
    expect(shifted([...track(0, 6, 0), ...late])?.[6]).toBe(10 * SECOND);
  });

  test('a track of which fewer than four notes came is not shifted', () => {
    const some = (came: number) => [
      ...track(0, 20, 0),
      ...track(1, 20, 30 * SECOND),
      ...track(2, 5, 60 * SECOND).map((note, n) => (n < came ? note : { ...note, came: undefined })),
    ];
    expect(shifted(some(4))?.at(-1)).toBe(64 * SECOND);
    expect(shifted(some(3))?.at(-1)).toBe(4 * SECOND);
    // One track alone is after no other.
    expect(shifted([...track(0, 6, 0), ...track(1, 3, 10 * SECOND)])).toBeUndefined();
  });

  test('nor is any where all were played together, or one began half a second before the last had ended', () => {
    expect(shifted([...track(0, 6, 50), ...track(1, 6, 50)])).toBeUndefined();
    // The first ends at 5 s.
    expect(shifted([...track(0, 6, 0), ...track(1, 6, 4_500_000)])).toBeDefined();
    expect(shifted([...track(0, 6, 0), ...track(1, 6, 4_499_999)])).toBeUndefined();
  });

  test('nor where one follows the other in the song itself: two seconds of shift are needed', () => {
    const follows = (by: number) => shifted([...track(0, 6, 0), ...track(1, 6, by, 6)]);
    expect(follows(2 * SECOND)).toBeUndefined();
    expect(follows(2 * SECOND + 1)).toBeDefined();
  });

  test('of half the tracks at least', () => {
    const shifts = (...by: number[]) =>
      shifted(by.flatMap((sum, n) => track(n, 6, sum * SECOND, 6 * n))) !== undefined;
    // From one to the next so much more.
    expect(shifts(0, 3, 3)).toBe(true);
    expect(shifts(0, 3, 3, 3)).toBe(false);
    expect(shifts(0, 3, 6, 6)).toBe(true);
  });

  test('nor where some law explains it twice as well with all of them together', () => {
    // What is written at a second comes at two: tracks that follow one another seem to be shifted.
    const slow = (tracks: number) =>
      Array.from({ length: tracks }, (_, number) =>
        track(number, 6, 0, 6 * number).map((note) => ({ ...note, came: 2 * note.at })),
      ).flat();
    // All but a tenth are within 3 s with shifts; without, of three tracks within 8 s, and of two within 5.
    expect(shifted(slow(3))).toBeDefined();
    expect(shifted(slow(2))).toBeUndefined();
    expect(shifted(slow(3), [1, 2])).toBeUndefined();
  });

  test('the law that explains it best is taken, and a later one only if it is better by three tenths', () => {
    const turn = (rate: number) => [
      ...track(0, 6, 0).map((note) => ({ ...note, came: note.at * rate })),
      ...track(1, 6, 0).map((note) => ({ ...note, came: 30 * SECOND + note.at * rate })),
    ];
    expect(shifted(turn(2), [1, 2])?.[1]).toBe(2 * SECOND);
    // Off by a tenth and by nine hundredths of a second each; by a tenth and by six.
    expect(shifted(turn(1), [1.1, 0.91])?.[1]).toBeCloseTo(1.1 * SECOND, -6);
    expect(shifted(turn(1), [1.1, 1.06])![1]! / SECOND).toBeLessThan(1.08);
  });

  test('without times there is none', () => {
    const notes = [...track(0, 6, 0), ...track(1, 6, 10 * SECOND)];
    const found = inTurnTimes(
      [{ law: 'no-timing', micros: Float64Array.from(notes, ({ at }) => at) }],
      { count: 12, track: Uint16Array.from(notes, (note) => note.track) } as unknown as WrittenMusic,
      { micros: Float64Array.from(notes, ({ came }) => came!) } as unknown as HeardNotes,
      { heardOf: Int32Array.from(notes, (_, n) => n), writtenOf: new Int32Array(0), matched: 12 },
    );
    expect(found).toBeUndefined();
  });
});
