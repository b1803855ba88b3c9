import { expect, test } from 'vitest';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { playHomeBuilt } from '../../support/home-built-player.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import { watched } from './watched.ts';

/** What is told of the first seconds of a player. */
function told(song: Timeline, fault: Parameters<typeof playHomeBuilt>[1][number], seconds: number): string {
  const { chunks } = playHomeBuilt(song, [fault], 5);
  const until = chunks[0]!.micros + seconds * 1e6;
  return watched(
    chunks.filter(({ micros }) => micros < until),
    song,
  ).lines.join('\n');
}

const song = (...tracks: DeltaEvent[][]) => buildTimeline(readSong(songBytes(tracks, { division: 96 })));

test('much is set up before the first note, which a slow player makes late by more than the wire can', () => {
  const setup = Array.from({ length: 20 }, (_, n): DeltaEvent => [0, [0xb0, 70 + n, n]]);
  const after = Array.from({ length: 70 }, (_, n): DeltaEvent => [0, [0xb1, 20 + n, n]]);
  const notes = Array.from({ length: 20 }, (_, n): DeltaEvent[] => [
    [72, [0x80, 60 + n, 64]],
    [0, [0x90, 61 + n, 80]],
  ]);
  // All of a moment may be sent first, which excuses the first note by 90 ms; but so much did not come before it.
  const tune = song([...setup, [0, [0x90, 60, 80]], ...after, ...notes.flat()]);
  expect(told(tune, 'slow-chords', 3)).toMatch(/unevenly|from here on/);
});

test('the first notes are like the last ones: who is wrong from the beginning on has not come in at the end', () => {
  const held = (keys: number[], ticks: number): DeltaEvent[] =>
    keys.flatMap((key): DeltaEvent[] => [
      [0, [0x90, key, 80]],
      [ticks, [0x80, key, 64]],
    ]);
  // A reader that does not know running status gets the first of each track, and then hardly anything.
  const tune: DeltaEvent[] = Array.from({ length: 24 }, (_, n): DeltaEvent[] => [
    [0, [0x91, 66 + (n % 6), 80]],
    [240, [0x91, 66 + (n % 6), 0]],
  ]).flat();
  const ending: DeltaEvent[] = [
    [0, [0x91, 66, 80]],
    [96, [0x91, 66, 0]],
  ];
  const bass = held([50], 96);
  const rest = song(
    [...tune, ...ending],
    [...bass, [24 * 240 - 96, [0x90, 50, 80]], [96, [0x80, 50, 64]]],
    Array.from({ length: 4 }, (_, n): DeltaEvent[] => [
      [n === 0 ? 1440 : 480, [0x92, 78 + n, 80]],
      [480, [0x82, 78 + n, 64]],
    ]).flat(),
  );
  expect(told(rest, 'file-running-status', 25)).toMatch(/missing|overdue|not understood/);
});

test('a chord and a note of one track, and nothing of the others: they are overdue with the next moment', () => {
  const chord: DeltaEvent[] = [67, 73, 74, 77].map((key): DeltaEvent => [0, [0x94, key, 114]]);
  const first: DeltaEvent[] = [
    [36, [0xc4, 4]],
    ...chord,
    ...[67, 73, 74, 77].map((key, n): DeltaEvent => [n === 0 ? 180 : 0, [0x84, key, 64]]),
    ...Array.from({ length: 12 }, (_, n): DeltaEvent[] => [
      [0, [0x94, 67, 97 + n]],
      [192, [0x84, 67, 64]],
    ]).flat(),
  ];
  const beat = Array.from({ length: 60 }, (_, n): DeltaEvent[] => [
    [0, [0x99, 38 + (n % 7), 60]],
    [32, [0x89, 38 + (n % 7), 64]],
  ]).flat();
  expect(told(song(first, beat), 'tracks-in-turn', 3)).toMatch(/overdue/);
});

test('one byte is lost under a running status that never ends: what comes then is written nowhere, and what is written does not come', () => {
  const keys = Array.from({ length: 80 }, (_, n) => 60 + ((n * 7) % 24));
  const rows = keys.flatMap((key, n): DeltaEvent[] => [
    [0, [0x90, key, 40 + (n % 5)]],
    [24, [0x90, key, 0]],
  ]);
  const tune = song(rows);
  const LOST = 61; // a release comes without its velocity
  const chunks = rows.map(([, [, key, velocity]], n) => {
    const data = n === LOST ? [key!] : [key!, velocity!];
    const micros = 1_000_000 + Math.ceil(n / 2) * 125_000 - (n % 2);
    return { micros, bytes: Uint8Array.from(n === 0 ? [0x90, ...data] : data) };
  });
  const lost = chunks[LOST]!.micros;
  const heard = (seconds: number) => chunks.filter(({ micros }) => micros < lost + seconds * 1e6);
  expect(watched(heard(0), tune).lines).toEqual([]);
  expect(watched(heard(1.9), tune).lines.join('\n')).toMatch(/overdue/);
});

test('the tempo changes between the first note and the chord behind it, and is ignored: nothing is anywhere in the song as it comes', () => {
  const tempo = (at: number, micros: number): DeltaEvent => [
    at,
    [0xff, 0x51, 3, micros >> 16, (micros >> 8) & 255, micros & 255],
  ];
  const chord = [62, 65, 69].map((key): DeltaEvent => [0, [0x90, key, 80]]);
  const tune = song([
    tempo(0, 1_000_000),
    [0, [0x90, 50, 100]],
    tempo(48, 300_000),
    [336, [0x90, 60, 80]],
    ...chord,
    [384, [0x90, 60, 0]],
    ...[...chord, [0, [0x90, 50, 0]] as const].map(
      ([, [status, key]]): DeltaEvent => [0, [status!, key!, 0]],
    ),
    ...[48, 52, 55, 57].map((key): DeltaEvent => [192, [0x90, key, 70]]),
  ]);
  // Behind the chord, four seconds from the first note on, nothing comes for as long.
  expect(told(tune, 'tempo-ignored', 6)).toMatch(/from here on notes come 2\d{3}\.\d ms late/);
});
