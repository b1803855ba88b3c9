import { expect, test } from 'vitest';
import { freeChannel } from '../../../src/core/schedule/free-channel.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

const bits = (...channels: number[]) => channels.reduce((sum, channel) => sum | (1 << channel), 0);
const ALL = 0xffff;

/** A song with a message on each of these channels; SysEx is on none. */
const songOn = (...channels: number[]) =>
  timelineOf([
    [0, 0xf0, 0x7e, 0x7f, 9, 1, 0xf7],
    ...channels.map((channel): TimedBytes => [1, (channel % 2 === 0 ? 0x90 : 0xe0) | channel, 60, 1]),
  ]);

test.each([
  ['the lowest', [], bits(9), ALL, 0],
  ['that the song leaves alone', [0, 1, 3], bits(9), ALL, 2],
  ['that has no drums', [], bits(0, 1, 9), ALL, 2],
  ['that goes to some port', [], bits(9), bits(4, 6, 9), 4],
  ['the last one too', [], 0, bits(15), 15],
  ['all of it at once', [4], bits(6), bits(4, 6, 15), 15],
] as const)('a channel for somebody who plays along: %s', (_, used, drums, reached, channel) => {
  expect(freeChannel(songOn(...used), drums, reached)).toBe(channel);
});

test('where none is free: the channel on which they play', () => {
  const every = Array.from({ length: 16 }, (_, channel) => channel);
  expect(freeChannel(songOn(...every), 0, ALL)).toBe('as-played');
  expect(freeChannel(songOn(), ALL, ALL)).toBe('as-played');
  expect(freeChannel(songOn(), 0, 0)).toBe('as-played');
});
