import { expect, test } from 'vitest';
import { GENERAL_MIDI } from '../../../src/core/instrument/general-midi-instrument.ts';
import { soloOrchestra } from '../../../src/core/instrument/orchestra.ts';
import { channelCensusOf } from '../../../src/core/report/channel-census.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';

function census(...events: DeltaEvent[]) {
  const timeline = buildTimeline(readSong(songBytes([events])));
  const most = Uint16Array.from({ length: 16 }, (_, channel) => channel + 1);
  return channelCensusOf(timeline, most, soloOrchestra(GENERAL_MIDI));
}

test('a channel that is used: what it sends, by number, and from where to where', () => {
  // Bars of four quarters, 96 ticks each: the third bar begins at 768 and the fourth at 1152.
  const [one] = census(
    [384, [0xb2, 7, 100]],
    [0, [0xb2, 7, 90]],
    [0, [0xb2, 91, 90]],
    [0, [0xc2, 5]],
    [0, [0x92, 60, 64]],
    [0, [0x92, 48, 64]],
    [0, [0x92, 72, 64]],
    [10, [0x92, 60, 0]],
    [0, [0x82, 48, 64]],
    [0, [0x82, 72, 64]],
    [0, [0xe2, 0, 65]],
    [0, [0xe2, 0, 64]],
    [0, [0xd2, 5]],
    [0, [0xa2, 60, 5]],
    [374, [0xa2, 60, 0]],
  );
  expect(one).toEqual({
    channel: 3,
    programs: [{ program: 6, bankMsb: 0, bankLsb: 0, name: 'Electric Piano 2' }],
    notes: 3,
    ...{ lowestKey: 48, highestKey: 72, mostNotesAtOnce: 3 },
    controllers: [
      { number: 7, name: 'Channel Volume', count: 2 },
      { number: 91, name: 'Reverb Send', count: 1 },
    ],
    ...{ bends: 2, pressures: 3 },
    // What ends the song on a bar line is of the bar before.
    ...{ firstBar: 2, lastBar: 2 },
    // Three bytes a message, but program and channel pressure have two.
    bytes: 13 * 3 + 2 * 2,
  });
});

test('a channel without a note has no keys, one without a message is not there; a SysEx is no channel’s', () => {
  const found = census([0, [0xf0, 3, 0x7d, 1, 0xf7]], [0, [0xcf, 1]], [0, [0x90, 1, 1]], [9, [0x80, 1, 1]]);
  expect(
    found.map(({ channel, notes, lowestKey, highestKey }) => [channel, notes, lowestKey, highestKey]),
  ).toEqual([
    [1, 1, 1, 1],
    [16, 0, null, null],
  ]);
  expect(census()).toEqual([]);
});

test('programs in the order they came, each once with its bank; a bank counts from the next program', () => {
  const [one] = census(
    [0, [0xc0, 1]],
    [0, [0xb0, 0, 3]],
    [0, [0xb0, 32, 4]],
    [0, [0xc0, 1]],
    [0, [0xc0, 1]],
    [0, [0xb0, 0, 5]],
    [0, [0xc0, 1]],
  );
  expect(one!.programs.map(({ program, bankMsb, bankLsb }) => [program, bankMsb, bankLsb])).toEqual([
    [2, 0, 0],
    [2, 3, 4],
    [2, 5, 4],
  ]);
});
