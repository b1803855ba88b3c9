import { expect, test } from 'vitest';
import { fitSong } from '../../../../src/core/arrange/fit/fit-song.ts';
import { SongWishes } from '../../../../src/core/arrange/fit/song-wishes.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { FEW_SOUNDS } from '../../../support/arbitrary-fits.ts';
import { type DeltaEvent, songBytes } from '../../../support/song-bytes.ts';

const FEW = {
  ...GENERAL_MIDI,
  banks: [{ name: 'few', msb: 3, lsb: undefined, programs: FEW_SOUNDS }],
};
const BANK = 3 << 7;
/** "Sound 7", numbered 18, is the only one of the pipes. */
const PIPE = 18;

const note = (channel: number): DeltaEvent[] => [
  [96, [0x90 | channel, 60, 90]],
  [96, [0x80 | channel, 60, 64]],
];

/** A flute on channel 1, a recorder on channel 2, drums. */
function wishes(parts: number): SongWishes {
  const events: DeltaEvent[] = [[0, [0xc0, 73]], [0, [0xc1, 74]], ...note(0), ...note(1), ...note(9)];
  const song = readSong(songBytes([events]));
  return new SongWishes(fitSong(song, buildTimeline(song), { ...FEW, parts }, 2).seats);
}

test('each sound has the name that the song wished for, and drums their kit', () => {
  const of = wishes(16);
  expect(of.nameOf(0, BANK, PIPE)).toBe('Flute');
  expect(of.nameOf(1, BANK, PIPE)).toBe('Recorder');
  expect(of.nameOf(9, 0, 0)).toBe('Standard Drums');
});

test('where one sound plays what two were meant for, there is no one name; nor where nothing plays', () => {
  const of = wishes(1);
  expect(of.nameOf(0, BANK, PIPE)).toBeNull();
  expect(of.nameOf(1, BANK, PIPE)).toBeNull();
  expect(of.nameOf(5, 0, 0)).toBeNull();
});
