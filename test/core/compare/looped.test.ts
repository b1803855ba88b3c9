import { describe, expect, test } from 'vitest';
import type { TimedChunk } from '../../../src/core/capture/byte-dump.ts';
import { compareRecording } from '../../../src/core/compare/compare-recording.ts';
import { heardFromChunks } from '../../../src/core/compare/hear.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type PlayerFault, playHomeBuilt } from '../../support/home-built-player.ts';
import { repeated } from '../../support/joined-recording.ts';
import { compareSong } from './compare-songs.ts';
import { expectSound, NAMES, watched } from './watched.ts';

const SONG = buildTimeline(readSong(compareSong()));
const played = (faults: readonly PlayerFault[], seed: number) => playHomeBuilt(SONG, faults, seed).chunks;
const judged = (chunks: readonly TimedChunk[]) =>
  compareRecording(SONG, heardFromChunks(chunks), NAMES, { withinMicros: 20_000 });

describe('a player in a loop with whom something is wrong', () => {
  test.each<PlayerFault>([
    'bytes-lost',
    'tempo-ignored',
    'tracks-in-turn',
    'slow-adds-up',
    'slow-chords',
    'clock-rate',
    'velocity-zero',
    'running-status-across-tracks',
  ])('%s: each time is judged by itself, and all of them add up', (fault) => {
    const times = [1, 2, 3].map((seed) => played([fault], seed));
    const alone = times.map(judged);
    const sum = (what: 'song' | 'matched' | 'missing' | 'added' | 'changed') =>
      alone.reduce((all, { notes }) => all + notes[what], 0);
    const all = judged(repeated(times[0]!, times.slice(1)));
    expect(all).toMatchObject({ verdict: 'differs', parts: 3, isTheSong: true });
    expect(all.notes).toMatchObject({
      song: sum('song'),
      matched: sum('matched'),
      missing: sum('missing'),
      added: sum('added'),
      changed: sum('changed'),
    });
    expect(all.causes.map(({ code }) => code)).toContain(fault);
  });

  test('of which only the second time is: the others are not accused', () => {
    const [first, second, third] = [played(['none'], 1), played(['bytes-lost'], 2), played(['none'], 3)];
    const all = judged(repeated(first, [second, third]));
    const { notes, causes } = judged(second);
    expect(all.parts).toBe(3);
    expect(all.notes.missing).toBe(notes.missing);
    expect(all.notes.added).toBe(notes.added);
    expect(all.causes.map(({ code }) => code)).toEqual(causes.map(({ code }) => code));
  });

  test('however often: each time has its own bytes, so that none is taken for faster than a wire', () => {
    const times = Array.from({ length: 24 }, (_, n) => played(['bytes-lost'], n % 3));
    const last = judged(times.at(-1)!);
    const all = judged(repeated(times[0]!, times.slice(1)));
    expect(all.parts).toBe(24);
    expect(all.clock.law).toBe('tempo-map');
    const often = ({ causes }: typeof all) =>
      Number(/one byte in (\d+)/.exec(causes.find(({ code }) => code === 'bytes-lost')?.evidence ?? '')?.[1]);
    // A place or two at the seam may be counted with the time before.
    expect(often(all)).toBeGreaterThan(0.8 * often(last));
    expect(often(all)).toBeLessThan(1.25 * often(last));
  });

  test('what comes behind the song and is not the song is added, once', () => {
    const song = played(['bytes-lost'], 4);
    const jam: TimedChunk[] = Array.from({ length: 200 }, (_, n) => ({
      micros: n * 100_000,
      bytes: Uint8Array.of(n % 2 === 0 ? 0x92 : 0x82, 100 + ((n >> 1) % 20), 64),
    }));
    const all = judged(repeated(song, [jam]));
    expect(all.parts).toBeUndefined();
    expect(all.notes.added).toBe(judged(song).notes.added + 100);
  });
});

test('a sound player in a loop who sets everything up long before the first note is no other', () => {
  const chunks = played(['none'], 5);
  const reset = Uint8Array.of(0xf0, 0x7e, 0x7f, 9, 1, 0xf7);
  const early = [
    { micros: chunks[0]!.micros - 600_000, bytes: reset },
    { micros: chunks[0]!.micros - 300_000, bytes: Uint8Array.of(0xb0, 7, 127) },
    ...chunks,
  ].map((one) => ({ ...one, micros: one.micros + 600_000 }));
  const { lines, page } = watched(repeated(early, [early, early]), SONG);
  expectSound({ lines, page });
  expect(page).toMatchObject({ verdict: 'same', parts: 3 });
});
