import { expect, test } from 'vitest';
import { MOST_MARK_BYTES } from '../../../../src/core/arrange/fit/fit-marks.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import { fittedBytes } from '../../../support/fitted-bytes.ts';
import { type DeltaEvent, meta } from '../../../support/song-bytes.ts';

const told = (type: number, words: string): DeltaEvent => [
  0,
  meta(
    type,
    Uint8Array.from(words, (letter) => letter.charCodeAt(0)),
  ),
];
const [TEXT, LYRIC] = [1, 5];
const onChannel = (channel: number) => `wirepit fit: drums on channel ${channel}; bends of 2 semitones`;

/** Channels that strokes of channels 4 and 5 are moved from, as drums. */
function drumsOf(...texts: DeltaEvent[]): number[] {
  const strokes = [3, 4].flatMap((channel): DeltaEvent[] => [
    [0, [0xc0 | channel, 0]],
    [0, [0x90 | channel, 36, 64]],
    [9, [0x80 | channel, 36, 64]],
  ]);
  const { document } = fittedBytes([...texts, ...strokes], GENERAL_MIDI);
  return document.moved.flatMap((one) => (one.what === 'channel' && one.why === 'drums' ? [one.from] : []));
}

test('what an earlier fit wrote says where the drums are: the first text that is such a mark', () => {
  expect(drumsOf()).toEqual([]);
  expect(drumsOf(told(TEXT, onChannel(4)))).toEqual([4]);
  expect(drumsOf(told(TEXT, onChannel(5)), told(TEXT, onChannel(4)))).toEqual([5]);
  expect(drumsOf(told(TEXT, 'a song'), told(LYRIC, onChannel(5)), told(TEXT, onChannel(4)))).toEqual([4]);
  expect(drumsOf(told(LYRIC, onChannel(4)))).toEqual([]);
});

test('a text that is longer than any mark is none', () => {
  const long = (bytes: number) =>
    onChannel(4).replace('4', `${'4,'.repeat((bytes - onChannel(4).length) / 2)}4`);
  const [fits, exceeds] = [MOST_MARK_BYTES - 1, MOST_MARK_BYTES + 1];
  expect([long(fits).length, long(exceeds).length]).toEqual([fits, exceeds]);
  expect(drumsOf(told(TEXT, long(fits)))).toEqual([4]);
  expect(drumsOf(told(TEXT, long(exceeds)))).toEqual([]);
});
