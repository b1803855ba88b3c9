import { describe, expect, test } from 'vitest';
import { COMPARE_DEFAULTS } from '../../../src/core/compare/compare-music.ts';
import { LiveComparison } from '../../../src/core/compare/live-comparison.ts';
import { LIVE_DEFAULTS, type LiveLimits } from '../../../src/core/compare/live-heard.ts';
import type { LiveView } from '../../../src/core/compare/live-view.ts';
import { Fault } from '../../../src/core/midi/stream-fault.ts';
import { type LaidNote, laidChunks, laidSong } from './laid-notes.ts';
import { NAMES } from './watched.ts';

const HALF = 500_000;
const SECOND = 1_000_000;

/** A note each half second, and none like another within sixty of them. */
const NOTES = Array.from({ length: 90 }, (_, n): LaidNote => {
  const at = n * HALF;
  return { at, key: 30 + ((n * 37) % 61), channel: n < 60 ? 0 : 1, off: at + 100_000 };
});
const SONG = laidSong(NOTES);

const moved = (notes: readonly LaidNote[], by: number) =>
  notes.map((note) => ({ ...note, at: note.at + by, off: note.off! + by }));
const strangers = (count: number, from = 0) =>
  Array.from(
    { length: count },
    (_, n): LaidNote => ({ at: from + n * HALF, key: 20 + (n % 5), channel: 9, off: from + n * HALF + 1000 }),
  );

/** Of notes as they come, a look each half second, or each second. */
function followed(
  came: readonly LaidNote[],
  { song = SONG, limits = LIVE_DEFAULTS as LiveLimits, from = SECOND, step = HALF } = {},
) {
  const live = new LiveComparison(song, NAMES, COMPARE_DEFAULTS, limits);
  const views: LiveView[] = [];
  let most = 0;
  let next = from + HALF / 2;
  const last = came.at(-1)!.at + from;
  const chunks = laidChunks(moved(came, from));
  let at = 0;
  for (; next < last + 2 * SECOND; next += step) {
    for (; at < chunks.length && chunks[at]!.micros <= next; at += 1)
      live.feed(chunks[at]!.bytes, chunks[at]!.micros);
    views.push(live.look(next));
    most = Math.max(most, live.heldMessages);
  }
  return { live, views, last: views.at(-1)!, most };
}
const NOTHING = { missing: 0, added: 0, changed: 0, late: 0 };

describe('while it comes in', () => {
  test('three notes are waited for, with four the song is followed: where it is, and what was heard of it', () => {
    const { views } = followed(NOTES.slice(0, 12));
    expect(views.slice(0, 3).map(({ state, songMicros }) => [state, songMicros])).toEqual([
      ['waiting', -1],
      ['waiting', -1],
      ['waiting', -1],
    ]);
    for (const [n, { state, songMicros, soFar, signs }] of views.slice(3, 12).entries()) {
      expect([state, songMicros, signs]).toEqual(['following', (n + 3) * HALF, []]);
      // The last is younger than three tenths of a second.
      expect(soFar!.notes).toMatchObject({ ...NOTHING, heard: n + 3, song: n + 3 });
    }
  });

  test('something else is waited for until there are 24 notes of it: then it is another song', () => {
    const { views } = followed(strangers(30));
    const states = views.map(({ state }) => state);
    expect([states.indexOf('other'), states.lastIndexOf('waiting')]).toEqual([23, 22]);
    expect(views[25]!.soFar).toBeUndefined();
  });

  test('whoever came in in mid-song is followed from there', () => {
    const { last } = followed(moved(NOTES.slice(30, 60), -30 * HALF));
    expect(last).toMatchObject({ state: 'following', songMicros: 59 * HALF, signs: [] });
    expect(last.soFar!.notes).toMatchObject(NOTHING);
    expect(last.soFar!.span.fromBar).toBe(8);
  });

  test('also if he has heard something wrong from the first on: by 24 notes it is seen where that is', () => {
    const came = moved(NOTES.slice(30, 62), -30 * HALF).map((note, n) =>
      n === 2 ? { ...note, velocity: 9 } : note,
    );
    const { views, last } = followed(came);
    expect(views.slice(0, 23).every(({ state, soFar }) => state === 'waiting' && soFar === undefined)).toBe(
      true,
    );
    expect(views[24]).toMatchObject({
      state: 'following',
      soFar: { notes: { missing: 0, added: 0, changed: 1 } },
    });
    expect(last.soFar!.differences).toMatchObject([{ kind: 'changed', bar: 9, beat: 1 }]);
    expect(last.soFar!.span.fromBar).toBe(8);
  });

  test('a stray note of the middle of the song is no place in it: the song is followed from its beginning', () => {
    const stray = { ...NOTES[30]!, at: 0, off: 1000 };
    const { last } = followed([stray, ...moved(NOTES.slice(0, 16), HALF)]);
    expect(last).toMatchObject({ state: 'following', signs: [] });
    expect(last.soFar!.notes).toMatchObject({ missing: 0, added: 1, changed: 0 });
    expect(last.soFar!.span.fromBar).toBe(1);
  });

  test('a setting that is another is told, wherever he came in', () => {
    const song = laidSong(NOTES, [[0, 0xb0, 7, 100]]);
    const live = new LiveComparison(song, NAMES);
    for (const { bytes, micros } of laidChunks(moved(NOTES.slice(0, 20), SECOND), [[1000, 0xb0, 7, 90]]))
      live.feed(bytes, micros);
    const view = live.look();
    // Laid beside the song: less than two seconds behind the middle of the last fifteen, number 12.
    expect(view).toMatchObject({ state: 'following', songMicros: 15 * HALF, signs: [] });
    expect(view.soFar!.state).toMatchObject([
      { channel: 1, what: 'controller 7', written: 100, heard: 90, bar: 1 },
    ]);
    expect(view.soFar!.notes).toMatchObject(NOTHING);
  });

  test('a look says when it is, by itself that of the last message', () => {
    const live = new LiveComparison(SONG, NAMES);
    expect(live.look()).toMatchObject({ state: 'waiting', signs: [] });
    for (const { bytes, micros } of laidChunks(NOTES.slice(0, 8).filter((_, n) => n !== 5)))
      live.feed(bytes, micros);
    expect(live.look().signs.map(({ kind }) => kind)).toEqual(['overdue']);
    expect(live.look(NOTES[5]!.at + 300_000).signs).toEqual([]);
  });

  test('a cause is told at the second look that sees it', () => {
    const live = new LiveComparison(SONG, NAMES);
    const lost = NOTES.slice(0, 40).filter((_, n) => n % 9 !== 4);
    for (const { bytes, micros } of laidChunks(lost)) live.feed(bytes, micros);
    expect(live.look().soFar!.causes).toEqual([]);
    expect(live.look().soFar!.causes.map(({ code }) => code)).toEqual(['bytes-lost']);
  });
});

describe('what lies well behind is judged for good', () => {
  const FEW: LiveLimits = { settleNotes: 16, keptMessages: 40 };

  test('and no more is held than is not; at the end it is judged in parts, and all of it is the same', () => {
    // The last is younger than three tenths of a second.
    const { live, most, last } = followed(NOTES, { limits: FEW, step: SECOND });
    expect(most).toBeLessThan(60);
    expect(last).toMatchObject({ state: 'following', songMicros: 89 * HALF });
    expect(last.soFar!.notes).toMatchObject({ ...NOTHING, heard: 89, matched: 89, song: 89 });
    const whole = live.whole();
    expect(whole).toMatchObject({
      verdict: 'same',
      notes: { song: 90, heard: 90, matched: 90, unheard: 0, ...NOTHING },
    });
    expect(whole.parts).toBeGreaterThan(4);
    expect(whole.span).toMatchObject({ fromBar: 1, toBar: 23 });
  });

  test('what can be kept is judged in one', () => {
    const { live, most } = followed(NOTES, { limits: { settleNotes: 16, keptMessages: 180 }, step: SECOND });
    expect(most).toBe(180);
    const whole = live.whole();
    expect(whole).toMatchObject({ verdict: 'same', notes: { song: 90, heard: 90, matched: 90 } });
    expect(whole.parts).toBeUndefined();
    expect(
      followed(NOTES, { limits: { settleNotes: 16, keptMessages: 179 }, step: SECOND }).live.whole().parts,
    ).toBeGreaterThan(1);
  });

  test('what is wrong in a part is told in the whole, once', () => {
    const came = NOTES.filter((_, n) => n !== 20 && n !== 70).map((note) =>
      note === NOTES[40] ? { ...note, velocity: 9 } : note,
    );
    const { live, last } = followed(came, { limits: FEW, step: SECOND });
    const wrong = { missing: 2, added: 0, changed: 1 };
    expect(last.soFar!.notes).toMatchObject({ ...wrong, heard: 87, song: 89 });
    const whole = live.whole();
    expect(whole).toMatchObject({
      verdict: 'differs',
      notes: { ...wrong, heard: 88, matched: 88, song: 90 },
    });
    expect(whole.differences.map(({ bar, beat, kind }) => [bar, beat, kind])).toEqual([
      [6, 1, 'missing'],
      [11, 1, 'changed'],
      [18, 3, 'missing'],
    ]);
  });

  test('whoever came in late, and left early, has heard a part', () => {
    const { live } = followed(moved(NOTES.slice(20, 80), -20 * HALF), { limits: FEW, step: SECOND });
    const whole = live.whole();
    expect(whole).toMatchObject({
      verdict: 'part',
      notes: { heard: 60, matched: 60, ...NOTHING },
      span: { fromBar: 6, toBar: 20 },
    });
  });

  test('of what is nowhere in the song half is let go when it is four times as much', () => {
    const { live, most } = followed(strangers(110), { limits: FEW, step: SECOND });
    // Sixteen notes, four times, are 128 messages; and what comes until the next look.
    expect(most).toBeGreaterThan(2 * 4 * 16);
    expect(most).toBeLessThan(2 * 4 * 16 + 8);
    const whole = live.whole();
    expect(whole.notes).toMatchObject({ heard: 110, matched: 0, added: 110 });
  });

  test('its faults are counted as well', () => {
    const live = new LiveComparison(SONG, NAMES, COMPARE_DEFAULTS, FEW);
    for (const { bytes, micros } of laidChunks(strangers(20))) live.feed(bytes, micros);
    live.told(Fault.strayData);
    live.stoodStill(5000, 7000);
    for (const { bytes, micros } of laidChunks(strangers(60, 12 * SECOND))) live.feed(bytes, micros);
    live.look();
    expect(live.heldMessages).toBeLessThan(100);
    const whole = live.whole();
    expect(whole.faults).toEqual({ strayData: 1 });
    expect(whole.standstills).toMatchObject({ count: 1, longestMicros: 2000 });
  });
});

describe('the song again and again', () => {
  const SHORT = NOTES.slice(0, 40);
  const song = laidSong(SHORT);
  const again = (times: number, between = 4 * SECOND) =>
    Array.from({ length: times }, (_, n) => moved(SHORT, n * (40 * HALF + between))).flat();

  test('each time is judged by itself', () => {
    const { live, last, views } = followed(again(2), { song, step: SECOND });
    expect(last).toMatchObject({ state: 'following', songMicros: 39 * HALF, signs: [] });
    expect(last.soFar!.notes).toMatchObject({ ...NOTHING, heard: 79, matched: 79, song: 79 });
    expect(
      views.every(({ signs, soFar }) => signs.length === 0 && (soFar?.differences.length ?? 0) === 0),
    ).toBe(true);
    expect(live.whole()).toMatchObject({ verdict: 'same', times: 2, notes: { song: 80, heard: 80 } });
  });

  test('where it cannot be kept as well', () => {
    const { live } = followed(again(2), {
      song,
      limits: { settleNotes: 30, keptMessages: 50 },
      step: SECOND,
    });
    const whole = live.whole();
    expect(whole).toMatchObject({
      verdict: 'same',
      notes: { song: 80, heard: 80, matched: 80, ...NOTHING },
    });
  });

  test('of its first three notes nobody knows that yet, and nothing is wrong with them', () => {
    const { views } = followed(
      [...SHORT.slice(30), ...moved(SHORT.slice(0, 3), 12 * SECOND)].map((note, n) =>
        n < 10 ? { ...note, at: note.at - 15 * SECOND, off: note.off! - 15 * SECOND } : note,
      ),
      { song },
    );
    expect(views.every(({ signs, soFar }) => signs.length === 0 && (soFar?.notes.added ?? 0) === 0)).toBe(
      true,
    );
    expect(views.at(-1)!.soFar!.notes).toMatchObject({ ...NOTHING, matched: 9 });
  });

  test('what comes behind the end and is not its beginning is added', () => {
    const { live } = followed([...SHORT, ...strangers(6, 42 * HALF)], { song, step: SECOND });
    expect(live.whole()).toMatchObject({ verdict: 'differs', notes: { matched: 40, added: 6, missing: 0 } });
  });
});

describe('a song that repeats itself', () => {
  const VERSE = [60, 64, 67, 72, 71, 69, 65, 62];
  /** Three times the same eight notes, and an end of its own. */
  const verses = [...VERSE, ...VERSE, ...VERSE, ...Array.from({ length: 12 }, (_, n) => 30 + n)].map(
    (key, n): LaidNote => ({ at: n * HALF, key, off: n * HALF + 100_000 }),
  );
  const song = laidSong(verses);

  test('nothing is said against one who came in in any verse; in the end it is seen in which', () => {
    for (const first of [8, 16, 19]) {
      const { views, last, live } = followed(moved(verses.slice(first), -first * HALF), { song });
      expect(
        views.every(({ signs, soFar }) => signs.length === 0 && (soFar?.differences.length ?? 0) === 0),
      ).toBe(true);
      const heard = verses.length - first;
      expect(last.songMicros).toBe(35 * HALF);
      expect(last.soFar!.notes).toMatchObject({ ...NOTHING, heard: heard - 1, matched: heard - 1 });
      expect(last.soFar!.span).toMatchObject({ fromBar: 1 + Math.floor(first / 4), toBar: 9 });
      expect(live.whole()).toMatchObject({
        verdict: 'part',
        notes: { ...NOTHING, matched: heard },
        span: { fromBar: 1 + Math.floor(first / 4) },
      });
    }
  });

  test('what is wrong wherever he came in is told', () => {
    const came = moved(verses.slice(8), -8 * HALF).filter((_, n) => n !== 5);
    const { views } = followed(came, { song });
    expect(views.flatMap(({ signs }) => signs).some(({ kind }) => kind === 'overdue')).toBe(true);
    expect(views.at(-1)!.soFar!.notes.missing).toBeGreaterThan(0);
  });
});

test('four notes within three tenths of a second say where the song is, and no more', () => {
  const notes = NOTES.map((note) => ({ ...note, at: note.at / 6, off: note.off! / 6 }));
  const live = new LiveComparison(laidSong(notes), NAMES);
  for (const { bytes, micros } of laidChunks(notes.slice(0, 4))) live.feed(bytes, micros);
  const view = live.look();
  expect(view).toMatchObject({ state: 'waiting', signs: [], soFar: undefined });
  expect(Math.abs(view.songMicros - notes[3]!.at)).toBeLessThan(1000);
});
