import { describe, expect, test } from 'vitest';
import { MOST_PLACES, SongPlaces } from '../../../src/core/compare/song-places.ts';
import { heardNotes, type LaidNote, writtenNotes } from './laid-notes.ts';

const SECOND = 1_000_000;

/** One note a second. */
const tune = (...keys: number[]): LaidNote[] => keys.map((key, n) => ({ at: n * SECOND, key }));
const later = (notes: readonly LaidNote[], micros: number): LaidNote[] =>
  notes.map((note) => ({ ...note, at: note.at + micros }));

const TUNE = tune(60, 62, 64, 60, 62, 67);

function placesIn(song: readonly LaidNote[], waits = new Float64Array(song.length)) {
  const places = new SongPlaces(writtenNotes(song), waits);
  return {
    places,
    find: (heard: readonly LaidNote[], now = heard.at(-1)!.at, from = 0) =>
      places.find(heardNotes(heard), from, now),
  };
}

describe('a place in the song', () => {
  test('is each from which on all that was heard is as written, in order', () => {
    const { find } = placesIn(TUNE);
    const two = later(TUNE.slice(0, 2), 5 * SECOND);
    expect(find(two)).toMatchObject([
      { startMicros: 5 * SECOND, first: 0, earliestMicros: 0, wholeFromMicros: SECOND, overAt: -1 },
      {
        startMicros: 2 * SECOND,
        first: 3,
        earliestMicros: 3 * SECOND,
        wholeFromMicros: 4 * SECOND,
        overAt: -1,
      },
    ]);
    expect(find(two).map(({ writtenOf }) => [...writtenOf])).toEqual([
      [0, 1],
      [3, 4],
    ]);
    expect(find(later(TUNE.slice(1, 4), 0)).map(({ first }) => first)).toEqual([1]);
  });

  test('keys of other channels are other keys', () => {
    const song = TUNE.map((note, n) => ({ ...note, channel: n % 2 === 0 ? 3 : 4 }));
    expect(
      placesIn(song)
        .find(later(song.slice(0, 3), 9))
        .map(({ first }) => first),
    ).toEqual([0]);
    expect(
      placesIn(song)
        .find(later(song.slice(3), 9))
        .map(({ first }) => first),
    ).toEqual([3]);
  });

  test('from a later note on what came before it is not asked', () => {
    const { find } = placesIn(TUNE);
    const heard = [{ at: 0, key: 90 }, ...later(TUNE.slice(4), 3 * SECOND)];
    expect(find(heard)).toEqual([]);
    const [place] = find(heard, 8 * SECOND, 1);
    expect(place).toMatchObject({ first: 4, startMicros: 3 * SECOND });
    expect([...place!.writtenOf]).toEqual([-1, 4, 5]);
  });

  test.each<[string, Partial<LaidNote>, boolean]>([
    ['a little early', { at: 2 * SECOND - 50_000 }, true],
    ['earlier than that', { at: 2 * SECOND - 50_001 }, false],
    ['a quarter of a second late', { at: 2 * SECOND + 250_000 }, true],
    ['later than that', { at: 2 * SECOND + 250_001 }, false],
    ['on another channel', { channel: 1 }, false],
    ['louder', { velocity: 65 }, false],
    ['another key', { key: 65 }, false],
  ])('a note that is %s', (_, change, isThere) => {
    const heard = TUNE.slice(0, 3).map((note, n) => (n === 2 ? { ...note, ...change } : note));
    expect(placesIn(TUNE).find(heard).length).toBe(isThere ? 1 : 0);
  });

  test('a note may wait as long as the wire is full', () => {
    const heard = TUNE.slice(0, 3).map((note, n) => (n === 2 ? { ...note, at: 2 * SECOND + 250_300 } : note));
    const waits = (micros: number) => Float64Array.from(TUNE, (_, n) => (n === 2 ? micros : 0));
    expect(placesIn(TUNE, waits(299)).find(heard).length).toBe(0);
    expect(placesIn(TUNE, waits(300)).find(heard).length).toBe(1);
  });

  test('and if the first has waited, others seem early by as much', () => {
    const waiting = placesIn(TUNE, Float64Array.of(100_000, 0, 0, 0, 0, 0));
    const heard = (late: number) =>
      TUNE.slice(0, 3).map((note, n) => (n === 0 ? { ...note, at: late } : note));
    expect(waiting.find(heard(150_000)).length).toBe(1);
    expect(waiting.find(heard(150_001)).length).toBe(0);
  });

  test('the earliest that was heard need not be the first', () => {
    const song = [
      { at: 0, key: 50 },
      { at: 30_000, key: 51 },
      { at: SECOND, key: 52 },
    ];
    const heard = [
      { at: 30_000, key: 51 },
      { at: 31_000, key: 50 },
      { at: SECOND, key: 52 },
    ];
    expect(placesIn(song).find(heard)).toMatchObject([{ first: 1, earliestMicros: 0 }]);
    expect(placesIn(song).find(heard.toSpliced(1, 1))).toMatchObject([{ first: 1, earliestMicros: 30_000 }]);
  });

  test('none of the notes that are due may be missing, four tenths of a second after it was', () => {
    const { find } = placesIn(TUNE);
    const gone = [TUNE[0]!, TUNE[2]!];
    expect(find(gone, 2 * SECOND)).toEqual([]);
    const silent = TUNE.slice(0, 2);
    const first = (now: number) => find(silent, now)[0]?.first;
    expect(first(2 * SECOND + 400_000)).toBe(0);
    // At the other place the next is due as well.
    expect(find(silent, 2 * SECOND + 400_001)).toEqual([]);
  });

  test('later by what it may wait for the wire', () => {
    const { find } = placesIn(TUNE, Float64Array.of(0, 0, 300, 0, 0, 0));
    const silent = (now: number) => find(TUNE.slice(0, 2), now).length;
    expect([silent(2 * SECOND + 400_300), silent(2 * SECOND + 400_301)]).toEqual([1, 0]);
  });

  test('it begins with a note that is as loud, and with no other of its key', () => {
    const twice = [
      { at: 0, key: 60, velocity: 30 },
      { at: 20_000, key: 60, velocity: 40 },
      { at: SECOND, key: 62 },
    ];
    const heard = [twice[1]!, twice[2]!];
    expect(
      placesIn(twice)
        .find(heard)
        .map(({ first }) => first),
    ).toEqual([1]);
  });

  test('nor one of a key that is heard later, or of the lowest key', () => {
    const again = tune(60, 62, 64, 62);
    expect(placesIn(again).find([again[0]!, again[2]!, again[3]!])).toEqual([]);
    expect(placesIn(again).find(again)).toHaveLength(1);
    const low = tune(60, 0, 64);
    expect(placesIn(low).find([low[0]!, low[2]!])).toEqual([]);
  });

  test('a clock that is wrong is followed', () => {
    const long = tune(...Array.from({ length: 60 }, (_, n) => 30 + n));
    // One percent slow: in the end notes come 0.6 s late, and each hardly later than the one before.
    const slow = long.map((note) => ({ ...note, at: note.at * 1.01 }));
    expect(placesIn(long).find(slow).length).toBe(1);
    const wrong = long.map((note) => ({ ...note, at: note.at * 1.03 }));
    expect(placesIn(long).find(wrong)).toEqual([]);
  });

  test('of a hundred notes each is known', () => {
    const long = tune(...Array.from({ length: 100 }, (_, n) => 20 + n));
    expect([...placesIn(long).find(long)[0]!.writtenOf]).toEqual(long.map((_, n) => n));
  });

  test('when the song is over, whatever comes is told from its first note on', () => {
    const heard = [...TUNE, { at: 9 * SECOND, key: 60 }];
    const [place] = placesIn(TUNE).find(heard);
    expect(place).toMatchObject({ first: 0, overAt: 6 });
    expect([...place!.writtenOf]).toEqual([0, 1, 2, 3, 4, 5, -1]);
    // Before its last note was due it is a wrong one.
    expect(placesIn(TUNE).find([...TUNE.slice(0, 5), { at: 4.9 * SECOND, key: 90 }])).toEqual([]);
    // Also where that one has come already, since it was a little early.
    const early = TUNE.map((note, n) => (n === 5 ? { ...note, at: 5 * SECOND - 40_000 } : note));
    expect(placesIn(TUNE).find([...early, { at: 5 * SECOND - 20_000, key: 90 }])).toEqual([]);
    expect(placesIn(TUNE).find([...early, { at: 5 * SECOND, key: 90 }])).toMatchObject([{ overAt: 6 }]);
    expect(placesIn(TUNE).find([...TUNE, { at: 5 * SECOND, key: 90 }])).toMatchObject([{ overAt: 6 }]);
    // Whatever else comes then.
    const more = [9, 10, 11].map((at) => ({ at: at * SECOND, key: 90 }));
    expect(placesIn(TUNE).find([...TUNE, ...more])).toMatchObject([{ overAt: 6 }]);
  });

  test('of a song that repeats itself often the first few are told', () => {
    const beat = tune(...new Array<number>(40).fill(60));
    const found = placesIn(beat).find(later(beat.slice(0, 3), 7));
    expect(found.map(({ first }) => first)).toEqual(Array.from({ length: MOST_PLACES }, (_, n) => n));
    expect(placesIn(beat).find([], 0)).toEqual([]);
  });
});

describe('a chord in whose middle listening began', () => {
  const chord = [60, 64, 67].map((key): LaidNote => ({ at: SECOND, key }));
  const song = [{ at: 0, key: 50 }, ...chord, { at: 2 * SECOND, key: 51 }, { at: 3 * SECOND, key: 60 }];

  test('may lack its other notes, and the next moment may not', () => {
    const { find } = placesIn(song);
    const heard = [chord[2]!, { at: 2 * SECOND, key: 51 }, { at: 3 * SECOND, key: 60 }];
    expect(find(heard)).toMatchObject([{ first: 3, wholeFromMicros: 2 * SECOND, earliestMicros: SECOND }]);
    expect(find([chord[2]!, { at: 3 * SECOND, key: 60 }])).toEqual([]);
    // Nor the next of a key that is in the chord too.
    expect(find(heard.slice(0, 2), 3 * SECOND + 400_000)).toHaveLength(1);
    expect(find(heard.slice(0, 2), 3 * SECOND + 400_001)).toEqual([]);
  });

  test('is whole from the next note that stands clear, and a quarter of a second behind in any case', () => {
    const run = (step: number) =>
      Array.from({ length: 12 }, (_, n): LaidNote => ({ at: 9 * SECOND + n * step, key: 40 + n }));
    const whole = (step: number) =>
      placesIn(run(step)).find(run(step).slice(0, 1), 9 * SECOND)[0]!.wholeFromMicros - 9 * SECOND;
    expect(whole(50_000)).toBe(50_000);
    expect(whole(49_000)).toBe(6 * 49_000);
    expect(whole(25_000)).toBe(11 * 25_000);
    expect(placesIn(run(1000)).find([{ at: 0, key: 40 }], 0)[0]!.wholeFromMicros).toBe(Infinity);
  });

  test('the note of its key that is nearest is it, and of two as near the one that is as loud', () => {
    const twice = [
      { at: 0, key: 50 },
      { at: 10_000, key: 60, velocity: 30 },
      { at: 30_000, key: 60, velocity: 40 },
      { at: SECOND, key: 51 },
    ];
    const { find } = placesIn(twice);
    const pairs = (note: LaidNote) =>
      find([twice[0]!, note, twice[3]!]).map(({ writtenOf }) => [...writtenOf]);
    expect(pairs({ at: 12_000, key: 60, velocity: 40 })).toEqual([[0, 2, 3]]);
    expect(pairs({ at: 28_000, key: 60, velocity: 30 })).toEqual([[0, 1, 3]]);
    const alike = placesIn(twice.map((note) => ({ ...note, velocity: 64 })));
    const nearest = (at: number) => [
      ...alike.find([
        { at: 0, key: 50 },
        { at, key: 60 },
        { at: SECOND, key: 51 },
      ])[0]!.writtenOf,
    ];
    expect(nearest(19_000)).toEqual([0, 1, 3]);
    expect(nearest(21_000)).toEqual([0, 2, 3]);
  });
});

describe('a place that is asked for', () => {
  test('by a song time is the next note of the first key from there on; by its note it is that', () => {
    const { places } = placesIn(TUNE);
    const on = heardNotes(later(TUNE.slice(0, 2), SECOND));
    const from = (micros: number) => places.from(on, micros, 2 * SECOND)?.first;
    expect([0, 1, 3 * SECOND, 3 * SECOND + 1].map(from)).toEqual([0, 3, 3, undefined]);
    expect(places.at(on, 3, 2 * SECOND)?.first).toBe(3);
    expect(places.at(on, 2, 2 * SECOND)).toBeUndefined();
    expect(places.from(heardNotes([]), 0, 0)).toBeUndefined();
    // Behind the last of its key there is none, however near another key is.
    const close = placesIn([
      { at: 0, key: 60 },
      { at: 20_000, key: 61 },
      { at: SECOND, key: 62 },
    ]).places;
    expect(close.from(heardNotes([{ at: 0, key: 60 }]), 1, 0)).toBeUndefined();
    const two = TUNE.map((note, n) => ({ ...note, channel: n % 2 }));
    const first = placesIn(two).places.from(heardNotes(later(two.slice(0, 2), SECOND)), 0, 2 * SECOND);
    expect(first?.first).toBe(0);
    expect(places.from(heardNotes(later(TUNE.slice(0, 1), SECOND)), 0, SECOND)?.first).toBe(0);
  });
});

describe('a song that begins again', () => {
  const song = [{ at: 500_000, key: 60 }, ...later(tune(62, 64), SECOND)];
  const on = heardNotes([
    { at: 0, key: 64, off: 400_000 },
    { at: 10 * SECOND, key: 60 },
  ]);
  const begins = (...bursts: number[]) =>
    placesIn(song).places.beginsAgainMicros({ on, bursts: Float64Array.from(bursts) }, 1);

  test('does so where its first note says, but for what was set up before that behind a longer silence', () => {
    // Due half a second before its first note, less what a receiver may be off.
    expect(begins()).toBe(9_497_000);
    expect(begins(0, 10 * SECOND)).toBe(9_497_000);
    // Set up at six seconds: silence before it 5.6 s, behind it 3.5 s.
    expect(begins(0, 6 * SECOND)).toBe(6 * SECOND - 0.5);
    // At four seconds the silence behind it is the longer one.
    expect(begins(0, 4 * SECOND)).toBe(9_497_000);
    expect(begins(0, 4 * SECOND, 9.2 * SECOND)).toBe(9_200_000 - 0.5);
    // What comes with the last release is not a beginning.
    expect(begins(402_999)).toBe(9_497_000);
  });

  test('where nothing was set up, and no silence was long enough to begin anything: the search ends', () => {
    // Four milliseconds from one time to the next, as of a song that ends with its last note.
    const places = placesIn(tune(60, 62)).places;
    const looped = heardNotes([
      { at: 0, key: 62, off: 10 },
      { at: 4000, key: 60 },
    ]);
    expect(places.beginsAgainMicros({ on: looped, bursts: Float64Array.of(0) }, 1)).toBe(1000);
  });

  test('silence begins with the last release before it, whichever note that ends', () => {
    const released = (...offs: number[]) => {
      const notes = offs.map((off, n): LaidNote => ({ at: n, key: 64, off }));
      const heard = heardNotes([...notes, { at: 10 * SECOND, key: 60 }]);
      return placesIn(song).places.beginsAgainMicros(
        { on: heard, bursts: Float64Array.of(7 * SECOND) },
        offs.length,
      );
    };
    expect(released(6 * SECOND)).toBe(9_497_000);
    expect(released(6 * SECOND, 5)).toBe(9_497_000);
    expect(released(5, 6 * SECOND)).toBe(9_497_000);
    expect(released(5, 6)).toBe(7 * SECOND - 0.5);
    // One behind it is none of theirs, and a note may never be let go.
    expect(released(11 * SECOND)).toBe(7 * SECOND - 0.5);
    expect(released(10 * SECOND)).toBe(7 * SECOND - 0.5);
    expect(released(Number.NaN, 6 * SECOND)).toBe(9_497_000);
  });

  test('not before the note before it, and as much earlier as the wire made it wait', () => {
    const close = heardNotes([
      { at: 0, key: 64 },
      { at: 100_000, key: 60 },
    ]);
    const waiting = placesIn(song, Float64Array.of(20_000, 0, 0)).places;
    expect(waiting.beginsAgainMicros({ on: close, bursts: new Float64Array(0) }, 1)).toBe(0);
    expect(waiting.beginsAgainMicros({ on, bursts: new Float64Array(0) }, 1)).toBe(9_477_000);
  });
});
