import { expect, test } from 'vitest';
import { writtenMusic } from '../../../src/core/compare/written-music.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

function writtenOf(messages: readonly TimedBytes[], tracks: readonly number[] = []) {
  const columns = timelineOf(messages);
  columns.track.set(tracks);
  return writtenMusic({ columns } as Timeline);
}

test('the notes of a song, each with what the file says of it', () => {
  const written = writtenOf(
    [
      [0, 0x90, 60, 1],
      [0, 0x9f, 127, 127],
      [1000, 0x80, 60, 64],
      [5000, 0x90, 62, 5],
      [9000, 0x9f, 127, 0],
    ],
    [3, 4, 3, 3, 4],
  );
  expect(written).toEqual({
    count: 3,
    micros: Float64Array.of(0, 0, 5000),
    tick: Float64Array.of(0, 0, 5),
    moment: Uint32Array.of(0, 0, 1),
    channel: Uint8Array.of(0, 15, 0),
    key: Uint8Array.of(60, 127, 62),
    velocity: Uint8Array.of(1, 127, 5),
    track: Uint16Array.of(3, 4, 3),
    offMicros: Float64Array.of(1000, 9000, NaN),
    offIsZero: Uint8Array.of(0, 1, 0),
    message: Uint32Array.of(0, 1, 3),
    bytes: Float64Array.of(0, 3, 9),
    row: Uint32Array.of(0, 1, 3),
  });
});

test('bytes before a note: a status that is the same is left out, and not behind a SysEx (MIDI 1.0, p. A-2)', () => {
  const bytes = (...before: number[][]) =>
    writtenOf([...before.map((message, n): TimedBytes => [n, ...message]), [99, 0x90, 60, 64]]).bytes.at(-1);
  expect(bytes()).toBe(0);
  expect(bytes([0x90, 1, 1])).toBe(3);
  expect(bytes([0x90, 1, 1], [0x90, 1, 0], [0x90, 2, 1])).toBe(7);
  expect(bytes([0xc0, 1], [0xc0, 2], [0xd0, 3])).toBe(2 + 1 + 2);
  expect(bytes([0xb0, 7, 1], [0xe0, 7, 1], [0xa0, 7, 1])).toBe(9);
  expect(bytes([0xf0, 0x7d, 1, 2, 0xf7])).toBe(5);
  // A packet that goes on is sent as it stands (SMF 1.1, p. 6).
  expect(bytes([0xf0, 0x7d], [0xf7, 1, 2, 0xf7])).toBe(5);
  expect(bytes([0xf0, 0x7d, 0xf7], [0xb0, 7, 1], [0xb0, 7, 2])).toBe(3 + 3 + 2);
  expect(bytes([0xb0, 7, 1], [0xf0, 0x7d, 0xf7], [0xb0, 7, 2])).toBe(3 + 3 + 3);
});

test('moments are ticks, whatever stands between', () => {
  const notes = [0, 0, 1000, 1000, 3000].map((at, n): TimedBytes => [at, 0x90, 60 + n, 64]);
  expect(writtenOf(notes).moment).toEqual(Uint32Array.of(0, 0, 1, 1, 2));
  expect(writtenOf([[500, 0x90, 60, 64]]).moment).toEqual(Uint32Array.of(0));
  expect(writtenOf([]).count).toBe(0);
});
