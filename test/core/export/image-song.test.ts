import { expect, test } from 'vitest';
import { chunksOfImage, songOfImage } from '../../../src/core/export/image-song.ts';
import type { PlayedImage } from '../../../src/core/export/player/read-image.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { hexOf, readStream } from '../../support/stream-log.ts';

/** Bytes as a player sends them, a unit is 8 µs: a program, two notes with running status, an end. */
const played: PlayedImage = {
  bytes: Uint8Array.of(0xc0, 5, 0x90, 60, 100, 62, 100, 0xb0, 123, 0),
  dueUnits: new Float64Array(10),
  sentUnits: Float64Array.of(42, 83, 142, 183, 224, 12_542, 12_583, 125_042, 125_083, 125_124),
  unitsPerSecond: 125_000,
  slotUnits: 41,
  deepest: 0,
};

test('each byte at its moment, counted from the first', () => {
  const chunks = [...chunksOfImage(played)];
  expect(chunks.map(({ micros }) => micros)).toEqual([
    ...[0, 328, 800, 1_128, 1_456, 100_000, 100_328, 1_000_000, 1_000_328, 1_000_656],
  ]);
  expect(hexOf(chunks.flatMap(({ bytes }) => [...bytes]))).toBe(hexOf(played.bytes));
});

test('as a song file: each message at the moment of its first byte, the whole read without a finding', () => {
  const song = readSong(songOfImage(played, 'Night ferry'));
  expect(song.findings).toEqual([]);
  const { columns } = buildTimeline(song);
  const messages = Array.from({ length: columns.count }, (_, row) => {
    const bytes = [columns.status[row]!, columns.data1[row]!, columns.data2[row]!];
    return `${columns.micros[row]} ${hexOf(bytes)}`;
  });
  expect(messages).toEqual(['0 C0 05 00', '800 90 3C 64', '100000 90 3E 64', '1000000 B0 7B 00']);
  expect(readStream([played.bytes]).messages).toHaveLength(4);
  const text = new TextDecoder().decode(songOfImage(played, 'Night ferry'));
  expect(text).toContain('Night ferry');
});
