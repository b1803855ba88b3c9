import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { TimedChunk } from '../../../src/core/capture/byte-dump.ts';
import { compareMusic } from '../../../src/core/compare/compare-music.ts';
import { compareRecording } from '../../../src/core/compare/compare-recording.ts';
import { heardFromBytes, heardFromChunks } from '../../../src/core/compare/hear.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { type PlayerFault, playHomeBuilt } from '../../support/home-built-player.ts';
import { joinedAt, repeated } from '../../support/joined-recording.ts';
import { npmSongs } from '../../support/package-songs.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import { compareSong } from './compare-songs.ts';
import { expectSound, NAMES, watched as watchedIn } from './watched.ts';

const SONG = buildTimeline(readSong(compareSong()));
/** Half as long, for what has to come to its end. */
const SHORT = buildTimeline(readSong(compareSong(0.5)));
const watched = (chunks: readonly TimedChunk[], song: Timeline = SONG, lookMicros?: number) =>
  watchedIn(chunks, song, lookMicros);
const played = (faults: readonly PlayerFault[], seed: number, song = SONG) =>
  playHomeBuilt(song, faults, seed).chunks;
const seconds = (chunks: readonly TimedChunk[], some: number) =>
  chunks.filter(({ micros }) => micros < chunks[0]!.micros + some * 1e6);

/** A verse of eight notes, so often, of which only the last is followed by something else; a volume is set before some of them. */
function verses(count: number, volumes: readonly (number | undefined)[]): Timeline {
  const verse = (volume: number | undefined): DeltaEvent[] => [
    ...(volume === undefined ? [] : [[0, [0xb0, 7, volume]] as DeltaEvent]),
    ...[60, 64, 67, 72, 71, 67, 64, 62].flatMap((key): DeltaEvent[] => [
      [24, [0x90, key, 80]],
      [24, [0x80, key, 64]],
    ]),
  ];
  const end: DeltaEvent[] = Array.from({ length: 12 }, (_, n): DeltaEvent[] => [
    [24, [0x90, 40 + n, 80]],
    [24, [0x80, 40 + n, 64]],
  ]).flat();
  const all = Array.from({ length: count }, (_, n) => verse(volumes[n])).flat();
  return buildTimeline(readSong(songBytes([[[0, [0xc0, 4]], ...all, ...end]], { division: 96 })));
}

describe('a sound player whom the listener joins in mid-song', () => {
  test('is never accused, wherever that is, in the middle of a message too, and however soon the recording ends', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.005, max: 0.98, noNaN: true }),
        fc.boolean(),
        fc.integer({ min: 1, max: 12 }),
        fc.nat(20),
        (share, isTorn, length, seed) => {
          const heard = seconds(joinedAt(played(['none'], seed), share, isTorn), length);
          // With fewer nobody knows where in the song they are.
          fc.pre(heardFromChunks(heard).on.count >= 4);
          expectSound(watched(heard));
        },
      ),
      { numRuns: 6 },
    );
  });

  test('who leaves as he came, between the releases of the last chord', () => {
    const melody = Array.from({ length: 40 }, (_, n): DeltaEvent[] => [
      [0, [0x90, 48 + ((n * 7) % 40), 80]],
      [96, [0x80, 48 + ((n * 7) % 40), 64]],
    ]).flat();
    const chord = [36, 40, 43];
    const song = buildTimeline(
      readSong(
        songBytes([
          [
            ...melody,
            ...chord.map((key): DeltaEvent => [0, [0x90, key, 80]]),
            ...chord.map((key, n): DeltaEvent => [n === 0 ? 192 : 0, [0x80, key, 64]]),
          ],
        ]),
      ),
    );
    const heard = joinedAt(played(['none'], 1, song), 0.5);
    for (const left of [1, 2, 3]) expectSound(watched(heard.slice(0, -left), song));
  });

  test('real songs too', () => {
    for (const { bytes } of npmSongs().slice(4)) {
      const song = buildTimeline(readSong(bytes));
      for (const share of [0.1, 0.5])
        expectSound(watched(seconds(joinedAt(played(['none'], 3, song), share, true), 6), song));
    }
  });

  test('who listened to silence before, because the cable was not plugged in, is no other listener', () => {
    const late = joinedAt(played(['none'], 4), 0.4).map((one) => ({ ...one, micros: one.micros + 9e6 }));
    expectSound(watched(seconds(late, 8)));
  });

  test('in a verse like others it may be any of them, until it is seen which', () => {
    const song = verses(4, [100, undefined, 90, 80]);
    const chunks = played(['none'], 1, song);
    for (const verse of [1, 2, 3]) {
      const share = (verse * 8 + 1) / (4 * 8 + 12);
      expectSound(watched(joinedAt(chunks, share), song));
    }
  });

  test('and who plays the song again and again: each time is judged by itself', () => {
    const chunks = played(['none'], 2, SHORT);
    const heard = repeated(joinedAt(chunks, 0.8, true), [chunks, seconds(chunks, 3)]);
    const { lines, page } = watched(heard, SHORT, 500_000);
    expectSound({ lines, page });
    expect(page).toMatchObject({ verdict: 'same', parts: 3 });
    expect(page.notes.heard).toBe(page.notes.matched);
  });
});

describe('the page', () => {
  test('says how much was not heard, and that what was is as written', () => {
    const heard = heardFromChunks(seconds(joinedAt(played(['none'], 5), 0.3), 10));
    const { verdict, notes, span } = compareRecording(SONG, heard, NAMES, { withinMicros: 20_000 });
    expect(verdict).toBe('part');
    expect(notes.heard).toBe(notes.matched);
    expect(notes.song).toBe(notes.matched + notes.unheard);
    expect(span.fromBar).toBeGreaterThan(span.firstBar);
    expect(span.toBar).toBeLessThan(span.lastBar);
  });

  test('what `listen` says at the end is what `compare` says of the record, in a loop as well', () => {
    const chunks = played(['none'], 2, SHORT);
    const loop = repeated(joinedAt(chunks, 0.8), [chunks]);
    // However often it was looked at.
    expect(watched(loop, SHORT, 2_000_000).page).toEqual(
      compareRecording(SHORT, heardFromChunks(loop), NAMES, { withinMicros: 20_000 }),
    );
  });
});

describe('whoever listens from the beginning', () => {
  const whole = played(['none'], 6);
  const isOn = ({ bytes }: TimedChunk) => (bytes[0]! & 0xf0) === 0x90 && bytes.length === 3 && bytes[2]! > 0;
  const judged = (chunks: readonly TimedChunk[]) => compareMusic(SONG, heardFromChunks(chunks));

  test('is told of the first note that did not come', () => {
    const first = whole.findIndex(isOn);
    expect(judged(whole.filter((_, n) => n !== first)).notes.missing).toBeGreaterThan(0);
  });

  test('is told of a program that was never set', () => {
    const without = whole.filter(({ bytes }) => (bytes[0]! & 0xf0) !== 0xc0);
    const wanted = [
      { what: 'program', heard: undefined },
      { what: 'program', heard: undefined },
    ];
    expect(judged(without).state).toMatchObject(wanted);
    // The same where the recording was cut, so that its clock begins with the first note.
    const cut = without.filter(isOn);
    const began = cut[0]!.micros;
    expect(judged(cut.map((one) => ({ ...one, micros: one.micros - began }))).state).toMatchObject(wanted);
  });
});

test('data bytes before the first status are the rest of a message, and no fault; behind it they are one', () => {
  const kinds = (bytes: number[]) => heardFromBytes(Uint8Array.from(bytes)).faults.count;
  expect(kinds([60, 80, 62, 80, 0x90, 60, 80])).toBe(0);
  expect(kinds([1, 2, 0xf7, 0x90, 60, 80])).toBe(0);
  expect(kinds([0xf8, 60, 0x90, 60, 80])).toBe(0);
  expect(kinds([0xf0, 1, 0xf7, 60, 80])).toBe(2);
  expect(kinds([0x90, 60, 80, 0xf7])).toBe(1);
});

test.each<[PlayerFault, RegExp]>([
  ['velocity-zero', /not let go/],
  ['bytes-lost', / missing| added| changed|overdue/],
  ['slow-chords', /within chords/],
])('%s is told though the listener came late', (fault, wanted) => {
  const { lines } = watched(seconds(joinedAt(played([fault], 2), 0.3), 12), SONG, 500_000);
  expect(lines.join('\n')).toMatch(wanted);
});

/** Forty keys one after another, and the first of them once more. */
const ENDS_AS_IT_BEGINS = buildTimeline(
  readSong(
    songBytes([
      [...Array.from({ length: 40 }, (_, n) => 40 + n), 40].flatMap((key): DeltaEvent[] => [
        [0, [0x90, key, 80]],
        [120, [0x80, key, 64]],
      ]),
    ]),
  ),
);

test('a song that ends as it begins: a note lost in its midst is missing, and the recording is not laid to its end', () => {
  const song = ENDS_AS_IT_BEGINS;
  const heard = played([], 3, song);
  const lost = heard.filter(({ bytes }) => bytes[1] !== 60);
  const document = compareRecording(song, heardFromChunks(lost), NAMES, { withinMicros: 20_000 });
  expect(document).toMatchObject({
    verdict: 'differs',
    isTheSong: true,
    notes: { matched: 40, missing: 1, added: 0, unheard: 0 },
  });
});

test('and while it comes in that is told at once: nobody waits for the song to begin again', () => {
  const beginning = played([], 3, ENDS_AS_IT_BEGINS).slice(0, 60);
  const { lines } = watched(
    beginning.filter(({ bytes }) => bytes[1] !== 50),
    ENDS_AS_IT_BEGINS,
    500_000,
  );
  expect(lines.join('\n')).toMatch(/missing: D3 on channel 1/);
});

test('one key in an even beat, and a song of one note: neither search has no end', () => {
  const beat = (count: number): Timeline =>
    buildTimeline(
      readSong(
        songBytes([
          Array.from({ length: count }, (): DeltaEvent[] => [
            [0, [0x90, 60, 64]],
            [60, [0x80, 60, 64]],
          ]).flat(),
        ]),
      ),
    );
  const long = beat(6000);
  const heard = played([], 4, long);
  const cut = heard
    .slice(0, heard.length >> 1)
    .map((chunk, n) => (n === 2100 ? { ...chunk, bytes: Uint8Array.of(0x91, 61, 9) } : chunk));
  expect(compareRecording(long, heardFromChunks(cut), NAMES, { withinMicros: 20_000 }).isTheSong).toBe(true);
  expect(
    compareRecording(beat(1), heardFromChunks(heard.slice(0, 2100)), NAMES, { withinMicros: 20_000 }).verdict,
  ).toBe('differs');
});
