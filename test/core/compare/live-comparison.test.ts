import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { TimedChunk } from '../../../src/core/capture/byte-dump.ts';
import { compareMusic } from '../../../src/core/compare/compare-music.ts';
import { comparisonDocument } from '../../../src/core/compare/comparison-document.ts';
import { heardFromChunks } from '../../../src/core/compare/hear.ts';
import { LiveComparison } from '../../../src/core/compare/live-comparison.ts';
import type { LiveView } from '../../../src/core/compare/live-view.ts';
import { LiveNews } from '../../../src/core/compare/live-words.ts';
import { FAULT_NAMES } from '../../../src/core/midi/stream-fault.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type PlayerFault, playHomeBuilt } from '../../support/home-built-player.ts';
import { npmSongs } from '../../support/package-songs.ts';
import { type DeltaEvent, songBytes, tempo } from '../../support/song-bytes.ts';
import { compareSong, otherSong } from './compare-songs.ts';

const SONG = buildTimeline(readSong(compareSong()));
const OTHER_SONG = buildTimeline(readSong(otherSong()));
const NAMES = { song: 'song.mid', heard: 'stdin', faults: FAULT_NAMES };
/** As often as the program looks. */
const LOOK_MICROS = 500_000;

/** What is said while a recording comes in: each look with the time of the recording it was made at. */
function watched(
  chunks: readonly TimedChunk[],
  song = SONG,
  lookMicros = LOOK_MICROS,
): { micros: number; view: LiveView }[] {
  const live = new LiveComparison(song, NAMES);
  const looks: { micros: number; view: LiveView }[] = [];
  let next = (chunks[0]?.micros ?? 0) + lookMicros;
  for (const { micros, bytes } of chunks) {
    while (micros > next) {
      looks.push({ micros: next, view: live.look(next) });
      next += lookMicros;
    }
    live.feed(bytes, micros);
  }
  // The player has stopped, and the person still looks.
  for (let n = 0; n < 2; n += 1)
    looks.push({ micros: next + n * lookMicros, view: live.look(next + n * lookMicros) });
  return looks;
}

/** A third of a minute is enough. */
function played(faults: readonly PlayerFault[], seed: number, song = SONG, seconds = 20): TimedChunk[] {
  const { chunks } = playHomeBuilt(song, faults, seed);
  return chunks.filter(({ micros }) => micros < chunks[0]!.micros + seconds * 1e6);
}

const sound = (seed: number, song = SONG) => played(['none'], seed, song);

describe('a sound recording, while it comes in', () => {
  test('is followed from the first notes on, where it is, and nothing is ever said against it', () => {
    for (const seed of [1, 2]) {
      const chunks = played(['none'], seed, SONG, 14);
      const looks = watched(chunks).slice(1);
      expect(looks.length).toBeGreaterThan(20);
      for (const { micros, view } of looks) {
        expect(view.state).toBe('following');
        // Where the song is, to a second.
        expect(Math.abs(view.songMicros - (micros - chunks[0]!.micros))).toBeLessThan(1_000_000);
        expect(view.signs).toEqual([]);
        expect(view.soFar).toMatchObject({
          notes: { missing: 0, added: 0, changed: 0, late: 0 },
          causes: [],
        });
      }
    }
  });

  test('real songs too', () => {
    for (const { bytes } of npmSongs().slice(0, 2)) {
      const song = buildTimeline(readSong(bytes));
      const chunks = played(['none'], 3, song, 10);
      for (const { view } of watched(chunks, song).slice(4)) {
        if (view.soFar === undefined) continue;
        expect(view.soFar.notes).toMatchObject({ missing: 0, added: 0, changed: 0 });
        expect(view.soFar.causes).toEqual([]);
      }
    }
  });

  test('begun in the middle: what came before is not missing', () => {
    const chunks = sound(2).filter(({ micros }) => micros > 12e6);
    const { view } = watched(chunks).at(-1)!;
    expect(view.state).toBe('following');
    expect(view.soFar!.notes.missing).toBeLessThan(3);
    expect(view.soFar!.notes.added).toBe(0);
  });
});

describe('a fault is told within two seconds of music', () => {
  test('a note that did not come, one too many', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 50 }), fc.integer({ min: 6, max: 12 }), (seed, at) => {
        const chunks = played(['none'], 1 + (seed % 4), SONG, 16);
        const began = chunks[0]!.micros;
        // Two seconds of music have to come behind it.
        const until = chunks.at(-1)!.micros - 2_000_000;
        const ons = chunks.flatMap(({ bytes, micros }, n) =>
          bytes.length === 3 &&
          (bytes[0]! & 0xf0) === 0x90 &&
          bytes[2]! > 0 &&
          micros - began > at * 1e6 &&
          micros < until
            ? [n]
            : [],
        );
        const lost = ons[seed % 20];
        if (lost === undefined) return;
        const gone = chunks[lost]!;
        chunks.splice(lost, 1);
        const heard = chunks.filter(({ micros }) => micros < gone.micros + 2_000_000);
        const told = watched(heard).find(({ view }) => (view.soFar?.notes.missing ?? 0) > 0);
        // With running status more than the note itself may be lost: what follows has no status of its own.
        expect(told!.micros - gone.micros).toBeLessThanOrEqual(2_000_000);
        expect(told!.view.soFar!.notes).toMatchObject({ added: 0 });
      }),
      { numRuns: 5 },
    );
  });

  test.each<PlayerFault>([
    'no-timing',
    'tempo-ignored',
    'clock-rate',
    'velocity-zero',
    'slow-chords',
    'sysex-unended',
    'file-running-status',
  ])('%s is named while it comes in', (fault) => {
    const looks = watched(played([fault], 2, SONG, 10));
    expect(looks.some(({ view }) => view.soFar?.causes.some(({ code }) => code === fault))).toBe(true);
  });

  test.each<PlayerFault>(['tracks-in-turn', 'running-status-across-tracks', 'bytes-lost'])(
    '%s: notes are told that are not as written, before its cause is sure',
    (fault) => {
      const news = new LiveNews();
      const { chunks, differsFromMicros } = playHomeBuilt(SONG, [fault], 2);
      const until = differsFromMicros + 6e6;
      const lines = watched(chunks.filter(({ micros }) => micros < until)).flatMap(({ view }) =>
        news.take(view),
      );
      expect(lines.join('\n')).toMatch(/ (missing|added|changed)/);
    },
  );

  test('time that is lost with each message is told as a slow clock, until the two can be told apart', () => {
    const looks = watched(played(['slow-adds-up'], 2, SONG, 10));
    const codes = looks.flatMap(({ view }) => view.soFar?.causes.map(({ code }) => code) ?? []);
    expect(codes.some((code) => code === 'slow-adds-up' || code === 'clock-rate')).toBe(true);
  });

  test.each<[PlayerFault, RegExp]>([
    ['clock-rate', / from here on notes come \d+\.\d ms (late|early)/],
    ['slow-adds-up', / from here on notes come \d+\.\d ms late/],
    ['timer-tick', / notes come unevenly: \d+\.\d ms between/],
    ['velocity-zero', / not let go: /],
    ['tracks-in-turn', / overdue: .* has not come/],
    ['running-status-across-tracks', / overdue: .* has not come/],
  ])('%s: what is heard of it is told within two seconds from when it can be', (fault, wanted) => {
    for (const seed of [2, 5]) {
      const news = new LiveNews();
      const { chunks, tellableFromMicros } = playHomeBuilt(SONG, [fault], seed);
      const until = tellableFromMicros + 2.5e6;
      const looks = watched(
        chunks.filter(({ micros }) => micros < until),
        SONG,
        250_000,
      ).map(({ micros, view }) => ({ micros, lines: news.take(view) }));
      expect(looks.flatMap(({ lines }) => lines).join('\n')).toMatch(wanted);
      const told = looks.find(({ lines }) => lines.length > 0)!;
      expect(told.micros - tellableFromMicros).toBeLessThanOrEqual(2_000_000);
    }
  });

  test('a tempo that is ignored is told soon after the first change', () => {
    const song = buildTimeline(readSong(songBytes([[...beats(40), [0, tempo(400_000)], ...beats(20)]])));
    const { chunks, differsFromMicros } = playHomeBuilt(song, ['tempo-ignored'], 2);
    const news = new LiveNews();
    const told = watched(chunks, song).map(({ micros, view }) => ({ micros, lines: news.take(view) }));
    expect(told.find(({ lines }) => lines.length > 0)!.micros - differsFromMicros).toBeLessThan(4_000_000);
    expect(told.flatMap(({ lines }) => lines).join('\n')).toContain('tempo changes are ignored');
  });
});

/** Quarters of half a second, each with a note. */
function beats(count: number): DeltaEvent[] {
  return Array.from({ length: count }, (_, n): DeltaEvent[] => [
    [0, [0x90, 60 + (n % 12), 80]],
    [96, [0x80, 60 + (n % 12), 64]],
  ]).flat();
}

describe('a long recording', () => {
  const LIMITS = { settleNotes: 60, keptMessages: 0 };

  test.each<PlayerFault>(['none', 'bytes-lost', 'velocity-zero', 'clock-rate', 'slow-chords'])(
    'is judged in parts, and the parts together say what the whole says: %s',
    (fault) => {
      const { chunks } = playHomeBuilt(SONG, [fault], 7);
      const live = new LiveComparison(SONG, NAMES, undefined, LIMITS);
      let next = 0;
      for (const { bytes, micros } of chunks) {
        live.feed(bytes, micros);
        if (micros < next) continue;
        live.look();
        next = micros + 1_500_000;
      }
      const whole = compareMusic(SONG, heardFromChunks(chunks));
      const { notes, causes } = comparisonDocument('', '', SONG, whole, FAULT_NAMES);
      const inParts = live.whole();
      expect(inParts.parts).toBeGreaterThan(4);
      expect(inParts.notes).toEqual(notes);
      expect(inParts.verdict).toBe(whole.verdict);
      expect(inParts.causes.map(({ code }) => code)).toEqual(causes.map(({ code }) => code));
    },
  );

  test.each([
    ['a song that begins again is judged again', SONG, { song: 3 * 480, matched: 3 * 480, added: 0 }],
    ['when it is over, whatever else comes is added', OTHER_SONG, { song: 480, matched: 480, added: 400 }],
  ])('takes no more memory; %s', (_, behind, wanted) => {
    const first = playHomeBuilt(SONG, ['none'], 3).chunks;
    const then = playHomeBuilt(behind, ['none'], 3).chunks;
    const live = new LiveComparison(SONG, NAMES, undefined, { ...LIMITS, keptMessages: 500 });
    let most = 0;
    let shift = 0;
    for (const chunks of [first, then, then]) {
      let next = 0;
      for (const { bytes, micros } of chunks) {
        live.feed(bytes, micros + shift);
        if (micros < next) continue;
        next = micros + 4_000_000;
        expect(live.look().state).not.toBe('other');
        most = Math.max(most, live.heldMessages);
      }
      shift += chunks.at(-1)!.micros;
    }
    expect(most).toBeLessThan(1200);
    expect(live.whole().notes).toMatchObject({ ...wanted, missing: 0, changed: 0 });
  });
});

test('at the end it says what `compare` says of the record', () => {
  for (const fault of ['none', 'bytes-lost', 'slow-chords'] as const) {
    const { chunks } = playHomeBuilt(SONG, [fault], 7);
    const live = new LiveComparison(SONG, NAMES);
    for (const { bytes, micros } of chunks) live.feed(bytes, micros);
    const offline = compareMusic(SONG, heardFromChunks(chunks));
    expect(live.whole()).toEqual(comparisonDocument('song.mid', 'stdin', SONG, offline, FAULT_NAMES));
  }
});

test('another song is told to be one, once there are notes enough', () => {
  const live = new LiveComparison(SONG, NAMES);
  for (const { bytes, micros } of sound(1, OTHER_SONG)) live.feed(bytes, micros);
  expect(live.look().state).toBe('other');
});

test('nothing, or noise, does no harm', () => {
  expect(new LiveComparison(SONG, NAMES).look()).toEqual({
    state: 'waiting',
    songMicros: -1,
    soFar: undefined,
    signs: [],
  });
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 600 }), (noise) => {
      const live = new LiveComparison(SONG, NAMES);
      live.feed(noise, 0);
      live.look();
      live.whole();
    }),
    { numRuns: 30 },
  );
});
