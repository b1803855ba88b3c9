import { describe, expect, test } from 'vitest';
import type { HeardMusic } from '../../../src/core/compare/heard-music.ts';
import {
  cutInRest,
  EDGE_MICROS,
  type Place,
  placeAnywhere,
  placeFrom,
} from '../../../src/core/compare/live-place.ts';
import { SongParts } from '../../../src/core/compare/song-part.ts';
import { writtenMusic } from '../../../src/core/compare/written-music.ts';
import { heardAll, type LaidNote, laidSong } from './laid-notes.ts';

const STEP = 100_000;
const SECOND = 1_000_000;

/** A note each tenth of a second, and none like another. */
const NOTES = Array.from({ length: 120 }, (_, n): LaidNote => {
  const at = n * STEP;
  return { at, key: 30 + ((n * 37) % 61), channel: n < 60 ? 0 : 1, off: at + 50_000 };
});
const SONG = laidSong(NOTES);

const moved = (notes: readonly LaidNote[], by: number) =>
  notes.map((note) => ({ ...note, at: note.at + by, off: note.off! + by }));
/** Notes that are nowhere in the song, among the others. */
const strangers = (times: readonly number[]) =>
  times.map((at): LaidNote => ({ at, key: 100, channel: 5, off: at + 1000 }));

function place(came: readonly LaidNote[], fromMicros = 0, notes = NOTES): Place | undefined {
  const song = notes === NOTES ? SONG : laidSong(notes);
  return placeFrom(new SongParts(song), writtenMusic(song), fromMicros, heardAll(came));
}

describe('where a recording is in the song', () => {
  test('as many notes as were heard: the last of them is where the song is; what is younger than 300 ms may not be whole', () => {
    expect(EDGE_MICROS).toBe(300_000);
    const found = place(moved(NOTES.slice(0, 20), 3 * SECOND))!;
    expect(found).toMatchObject({
      fromMicros: 0,
      share: 1,
      begunMicros: 0,
      songMicros: 19 * STEP,
      toMicros: 16 * STEP,
    });
    expect(found.heardUntil).toBe(3 * SECOND + 16 * STEP);
    expect([...found.songAt]).toEqual(NOTES.slice(0, 20).map(({ at }) => at));
  });

  test('from any time on', () => {
    const found = place(moved(NOTES.slice(30, 60), SECOND), 30 * STEP)!;
    expect(found).toMatchObject({
      fromMicros: 30 * STEP,
      share: 1,
      begunMicros: 30 * STEP,
      songMicros: 59 * STEP,
    });
    expect(place(moved(NOTES.slice(30, 60), SECOND), 29.5 * STEP)).toMatchObject({
      fromMicros: 29.5 * STEP,
      share: 1,
    });
  });

  test('nothing is nowhere', () => {
    expect(place([])).toBeUndefined();
    expect(place([], 20 * SECOND)).toBeUndefined();
  });

  test('however fast it is played', () => {
    for (const rate of [0.8, 1.2]) {
      const came = NOTES.slice(0, 40).map(({ at, key, off }) => ({ key, at: at * rate, off: off! * rate }));
      expect(place(came)).toMatchObject({ share: 1, songMicros: 39 * STEP });
    }
  });

  test('some lost: as many more of the song; some too many: as many fewer', () => {
    const lost = NOTES.slice(0, 103).filter((_, n) => n !== 20 && n !== 40 && n !== 60);
    expect(place(lost)).toMatchObject({ share: 100 / 103, songMicros: 102 * STEP });
    const more = [...NOTES.slice(0, 97), ...strangers([950_000, 2_050_000, 4_050_000])].sort(
      (a, b) => a.at - b.at,
    );
    expect(place(more)).toMatchObject({ share: 97 / 100, songMicros: 96 * STEP });
    // Of a hundred and ten every fifth of the first fifty: 90 of 100 are fewer than 100 of 110.
    const tenth = NOTES.slice(0, 110).filter((_, n) => n >= 50 || n % 5 !== 2);
    expect(place(tenth)).toMatchObject({ share: 100 / 110, songMicros: 109 * STEP });
  });

  test('in the middle of a chord: without it, where hardly any of it has come', () => {
    const chord = (first: number, size: number) =>
      NOTES.map((note, n) => (n > first && n < first + size ? { ...note, at: first * STEP } : note));
    // One of four: 34 of 37 are fewer than 33 of 34. Two of ten: 30 of 38 than 27 of 30.
    const one = chord(33, 4);
    expect(place(one.slice(0, 34), 0, one)).toMatchObject({ share: 33 / 34, songMicros: 32 * STEP });
    const two = chord(28, 10);
    expect(place(two.slice(0, 30), 0, two)).toMatchObject({ share: 27 / 30, songMicros: 26 * STEP });
  });

  test('the whole of it, and more that is not in it', () => {
    const tail = strangers(Array.from({ length: 40 }, (_, n) => 6 * SECOND + n * STEP));
    const found = place([...NOTES.slice(0, 60), ...tail], 0, NOTES.slice(0, 60))!;
    expect(found).toMatchObject({ share: 0.6, songMicros: 59 * STEP });
    const most = strangers(Array.from({ length: 90 }, (_, n) => 6 * SECOND + n * STEP));
    expect(place([...NOTES.slice(0, 60), ...most], 0, NOTES.slice(0, 60))).toMatchObject({
      share: 60 / 150,
      songMicros: 59 * STEP,
    });
    // Of sixty 37 are more than six tenths; 36 are not.
    const some = (count: number) => place([...NOTES.slice(0, count), ...most], 0, NOTES.slice(0, 60));
    expect(some(37)).toMatchObject({ share: 37 / 127, songMicros: 36 * STEP });
    expect(some(36)).toBeUndefined();
  });

  test('as much of it as lasts as long, where every second one is lost', () => {
    const every = (step: number, count: number) =>
      NOTES.slice(0, step * count).filter((_, n) => n % step === 0);
    const found = place(moved(every(2, 40), SECOND))!;
    expect(found).toMatchObject({ share: 40 / 82, songMicros: 78 * STEP });
    expect(place(every(3, 8))).toMatchObject({ songMicros: 21 * STEP });
    expect(place(every(3, 7))).toBeUndefined();
    // Of 32 three quarters are 24; two seconds behind the middle of the last fifteen, at 4.8, is too far to tell.
    const known = (count: number) =>
      place(
        [
          ...every(3, count),
          ...strangers(Array.from({ length: 32 - count }, (_, n) => 60_000 + n * 210_000)),
        ].sort((a, b) => a.at - b.at),
      );
    expect([known(24)?.songMicros, known(23)]).toEqual([66 * STEP, undefined]);
  });

  test('six tenths of as many are enough', () => {
    const more = (known: number) =>
      place([
        ...NOTES.slice(0, known),
        ...strangers(Array.from({ length: 100 - known }, (_, n) => (known + n) * STEP)),
      ]);
    expect([more(60)?.songMicros, more(59)]).toEqual([59 * STEP, undefined]);
  });

  test('something else is nowhere in it', () => {
    expect(place(strangers(Array.from({ length: 40 }, (_, n) => n * STEP)))).toBeUndefined();
  });

  test('behind its last note it is over, whatever comes', () => {
    const found = place(strangers([5 * SECOND, 6 * SECOND]), 11_900_001)!;
    expect(found).toMatchObject({
      fromMicros: 11_900_001,
      share: 1,
      begunMicros: 0,
      songMicros: 11_900_000,
      toMicros: 11_900_000,
      heardUntil: 5_700_000,
    });
    expect([...found.songAt]).toEqual([Number.NaN, Number.NaN]);
    expect(place(strangers([5 * SECOND]), 0, [])).toMatchObject({ share: 1, songMicros: 0 });
    expect(place(moved(NOTES.slice(-1), 0), 11_900_000)).toMatchObject({
      songMicros: 11_900_000,
      heardUntil: -1,
    });
  });

  test('what is written nowhere is on neither side of what may not be whole', () => {
    const some = strangers(Array.from({ length: 15 }, (_, n) => 1_901_000 + n * 6000));
    expect(place([...NOTES.slice(0, 20), ...some, ...NOTES.slice(20, 30)])).toMatchObject({
      share: 30 / 45,
      heardUntil: 26 * STEP,
    });
  });

  test('one note that is taken for a far one does not say where the song is', () => {
    // The last of the song, behind a rest of five seconds, is heard in its middle.
    const last = { at: 34 * STEP + 5 * SECOND, key: 100, off: 34 * STEP + 5 * SECOND + 50_000 };
    const notes = [...NOTES.slice(0, 35), last];
    const early = { ...last, at: 25.5 * STEP, off: 25.7 * STEP };
    const found = place([...NOTES.slice(0, 26), early, ...NOTES.slice(26, 35)], 0, notes)!;
    expect(found.songAt[26]).toBe(last.at);
    expect(found).toMatchObject({
      share: 1,
      begunMicros: 0,
      songMicros: 34 * STEP,
      toMicros: 31 * STEP,
      heardUntil: 31 * STEP,
    });
  });
});

describe('a place anywhere in the song', () => {
  const anywhere = (came: readonly LaidNote[]) =>
    placeAnywhere(SONG, new SongParts(SONG), writtenMusic(SONG), heardAll(came));

  test('begins with the first note that was heard; within two seconds it is the beginning', () => {
    const from = (first: number) => anywhere(moved(NOTES.slice(first, first + 40), SECOND));
    expect(from(50)).toMatchObject({ fromMicros: 50 * STEP, share: 1, songMicros: 89 * STEP });
    expect(from(20)).toMatchObject({ fromMicros: 20 * STEP, begunMicros: 20 * STEP });
    expect(from(5)).toMatchObject({ fromMicros: 0, begunMicros: 5 * STEP, share: 39 / 44 });
  });

  test('is none where hardly a note is one of the song', () => {
    const other = strangers(Array.from({ length: 100 }, (_, n) => n * STEP + 3000));
    expect(anywhere(other)).toBeUndefined();
    expect(anywhere([])).toBeUndefined();
    const none = laidSong([]);
    expect(placeAnywhere(none, new SongParts(none), writtenMusic(none), heardAll(other))).toBeUndefined();
  });
});

describe('a cut through what was heard', () => {
  /** Heard at and song time of each. */
  const cut = (notes: readonly (readonly [at: number, songAt: number])[]) =>
    cutInRest(
      { on: { count: notes.length, micros: Float64Array.from(notes, ([at]) => at) } } as HeardMusic,
      { songAt: Float64Array.from(notes, ([, songAt]) => songAt) } as Place,
    );
  /** So many notes, ten apart, and behind some of them a rest; the song is a thousand ahead, at half the speed. */
  const even = (count: number, rests: Readonly<Record<number, number>> = {}) => {
    let at = 0;
    return Array.from({ length: count }, (_, n): [number, number] => {
      at += 10 + (rests[n - 1] ?? 0);
      return [at, 1000 + 2 * at];
    });
  };

  test('lies in the middle of the longest rest of the third quarter', () => {
    // Behind two rests before it note 60 comes at 730, 61 at 770.
    expect(cut(even(100, { 60: 30, 20: 100, 90: 100, 55: 20 }))).toEqual({
      heardMicros: 750,
      songMicros: 2500,
    });
  });

  test('of which the first rest is before the middle note, and the last before that of three quarters', () => {
    const at = (rest: number) => cut(even(100, { [rest]: 30, 60: 10 }))!.heardMicros - 10 * (rest + 1);
    expect([at(49), at(73)]).toEqual([20, 20].map((half, n) => half + (n === 1 ? 10 : 0)));
    expect(cut(even(100, { 48: 30, 60: 10 }))!.heardMicros).toBe(610 + 30 + 10);
    expect(cut(even(100, { 74: 30, 60: 10 }))!.heardMicros).toBe(620);
  });

  test('not where the song goes back, nor where one of both notes is not known', () => {
    const back = even(100, { 60: 30, 65: 10 }).map(([at, song], n): [number, number] => [
      at,
      n === 61 ? song - 300 : song,
    ]);
    expect(cut(back)?.heardMicros).toBe(660 + 30 + 10);
    for (const unknown of [60, 61]) {
      const some = even(100, { 60: 30, 65: 10 }).map(([at, song], n): [number, number] => [
        at,
        n === unknown ? Number.NaN : song,
      ]);
      expect(cut(some)?.heardMicros).toBe(660 + 30 + 10);
    }
  });

  test('in a shorter one where fewer notes lie on the wrong side', () => {
    // In the rest behind 60 a note of the beginning comes late, behind 65 none is torn.
    const notes = even(100, { 60: 30, 65: 10 });
    const torn = notes.map(([at, song], n): [number, number] => [at, n === 63 ? 1005 : song]);
    expect(cut(torn)?.heardMicros).toBe(660 + 30 + 10);
    expect(cut(notes)?.heardMicros).toBe(630);
  });

  test('nowhere where two in a hundred do, as in tracks that are played in turn', () => {
    const torn = (count: number) => {
      const notes = even(100, { 60: 30 });
      return cut(notes.map(([at, song], n): [number, number] => [at, n < count ? 5000 + n : song]));
    };
    expect(torn(0)?.heardMicros).toBe(630);
    expect(torn(1)?.heardMicros).toBe(630);
    expect(torn(2)).toBeUndefined();
    const inTurn = even(100).map(([at], n): [number, number] => [at, 1000 + (n % 50) * 20]);
    expect(cut(inTurn)).toBeUndefined();
  });

  test('of ever so many rests the eight longest are looked at', () => {
    // Two notes that come late belong between the rest behind 52 and the eight others: those tear them from their place.
    const rests = Object.fromEntries(Array.from({ length: 8 }, (_, n) => [57 + n, 30 + n]));
    const found = (rest: number) => {
      const notes = even(100, { ...rests, 52: rest });
      return cut(notes.map(([at, song], n) => [at, n === 70 || n === 71 ? notes[53]![1] + n : song]));
    };
    expect(found(29)).toBeUndefined();
    expect(found(31)?.heardMicros).toBe(530 + (31 + 10) / 2);
  });

  test('where the song is over and something else goes on, between both', () => {
    const notes = even(100).map(([at, song], n): [number, number] => [
      at,
      n > 40 ? Number.NaN : n === 30 ? 9999 : song,
    ]);
    expect(cut(notes)).toEqual({ heardMicros: 415, songMicros: 9999 });
    const half = (last: number) =>
      cut(even(100).map(([at, song], n): [number, number] => [at, n > last ? Number.NaN : song]));
    expect(half(49)).toEqual({ heardMicros: 505, songMicros: 2000 });
    expect(half(50)).toEqual({ heardMicros: 505, songMicros: 2010 });
    expect(half(-1)).toBeUndefined();
    expect(half(0)).toEqual({ heardMicros: 15, songMicros: 1020 });
    const first = even(100).map(([at], n): [number, number] => [at, n > 0 ? Number.NaN : 0]);
    expect(cut(first)).toEqual({ heardMicros: 15, songMicros: 0 });
  });
});
