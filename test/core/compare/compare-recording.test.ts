import { expect, test } from 'vitest';
import { COMPARE_DEFAULTS } from '../../../src/core/compare/compare-music.ts';
import { compareRecording } from '../../../src/core/compare/compare-recording.ts';
import { heardAll, type LaidNote, laidSong } from './laid-notes.ts';
import { NAMES } from './watched.ts';

const HALF = 500_000;
/** Twenty seconds, a note each half second, none like another. */
const NOTES = Array.from(
  { length: 40 },
  (_, n): LaidNote => ({ at: n * HALF, key: 40 + n, off: n * HALF + 100_000 }),
);
const SONG = laidSong(NOTES);

/** The song, and some notes of it again and again, each time so many half seconds behind the beginning of the one before. */
const played = (...times: readonly (readonly LaidNote[])[]) =>
  times.flatMap((notes, n) =>
    notes.map((note) => ({ ...note, at: note.at + n * 50 * HALF, off: note.off! + n * 50 * HALF })),
  );
const judged = (came: readonly LaidNote[], still: readonly [number, number][] = []) =>
  compareRecording(
    SONG,
    {
      ...heardAll(came),
      standstills: {
        fromMicros: Float64Array.from(still, ([from]) => from),
        toMicros: Float64Array.from(still, ([, to]) => to),
      },
    },
    NAMES,
    COMPARE_DEFAULTS,
  );

test('a song that was played once is judged in one', () => {
  const found = judged(NOTES);
  expect(found).toMatchObject({
    song: NAMES.song,
    heard: NAMES.heard,
    verdict: 'same',
    notes: { song: 40, matched: 40 },
  });
  expect([found.times, found.parts]).toEqual([undefined, undefined]);
  expect('times' in found).toBe(false);
});

test('each time that it was played is one, and all of them are told together', () => {
  expect(judged(played(NOTES, NOTES, NOTES))).toMatchObject({
    verdict: 'same',
    times: 3,
    notes: { song: 120, heard: 120, matched: 120, missing: 0, added: 0 },
  });
  const wrong = NOTES.map((note, n) => (n === 7 ? { ...note, velocity: 3 } : note));
  const found = judged(played(wrong, NOTES));
  expect(found).toMatchObject({ verdict: 'differs', times: 2, notes: { changed: 1, matched: 80 } });
  expect(found.differences.map(({ bar, beat }) => [bar, beat])).toEqual([[2, 4]]);
});

test('heard whole once it was heard whole, though the last time is only a part', () => {
  expect(judged(played(NOTES, NOTES.slice(0, 30)))).toMatchObject({
    verdict: 'same',
    times: 2,
    notes: { song: 80, heard: 70, unheard: 10, missing: 0 },
  });
  expect(judged(NOTES.slice(0, 30)).verdict).toBe('part');
});

test('a standstill of the listener is one, whichever time it was in; the notes of each are counted', () => {
  const still: [number, number][] = [
    [10 * HALF - 1000, 10 * HALF + 1000],
    [70 * HALF - 2000, 70 * HALF + 5000],
  ];
  const { standstills, verdict } = judged(played(NOTES, NOTES), still);
  expect(standstills).toEqual({ count: 2, longestMicros: 7000, notes: 2 });
  expect(verdict).toBe('same');
});
