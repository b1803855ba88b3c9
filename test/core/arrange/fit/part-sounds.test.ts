import { parseMidi } from 'midi-file';
import { expect, test } from 'vitest';
import { fitSong } from '../../../../src/core/arrange/fit/fit-song.ts';
import { GENERAL_MIDI_2 } from '../../../../src/core/instrument/general-midi-2.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Bank, Instrument } from '../../../../src/core/instrument/instrument.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { writeSong } from '../../../../src/core/smf/write-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes } from '../../../support/song-bytes.ts';

const bank = (lsb: number, ...likes: number[]): Bank => ({
  name: `bank ${lsb}`,
  msb: undefined,
  lsb,
  programs: likes.map((like, number) => ({
    number,
    name: `sound ${like}`,
    like,
    keys: undefined,
    voicesEach: 1,
  })),
});

/** Number 0 is a piano in one bank and a pad in the other. */
const TWO_PARTS: Instrument = {
  ...GENERAL_MIDI,
  parts: 2,
  channels: [0, 1],
  banks: [bank(0, 0, 73), bank(1, 89)],
  drums: { channels: [], keys: new Map(), kits: new Map() },
};

/** Key → bank and program with which it is played, as an independent reader finds them in the file. */
function soundsIn(bytes: Uint8Array): Map<number, string> {
  const selected = new Array<number>(16).fill(0);
  const sound = new Array<string>(16).fill('0/0');
  const sounds = new Map<number, string>();
  for (const event of parseMidi(bytes).tracks.flat()) {
    if (event.type === 'controller' && event.controllerType === 32) selected[event.channel] = event.value;
    if (event.type === 'programChange')
      sound[event.channel] = `${selected[event.channel]}/${event.programNumber}`;
    if (event.type === 'noteOn' && event.velocity > 0) sounds.set(event.noteNumber, sound[event.channel]!);
  }
  return sounds;
}

test('two banks of one program are two sounds: their channels share no part', () => {
  const select = (channel: number, lsb: number, program: number): DeltaEvent[] => [
    [0, [0xb0 | channel, 32, lsb]],
    [0, [0xc0 | channel, program]],
  ];
  const note = (channel: number, key: number): DeltaEvent[] => [
    [0, [0x92, 84, 70]],
    [0, [0x90 | channel, key, 90]],
    [0, [0x90 | channel, key + 6, 90]],
    [96, [0x80 | channel, key, 64]],
    [0, [0x80 | channel, key + 6, 64]],
    [96, [0x82, 84, 64]],
  ];
  const song = [
    ...select(0, 0, 0),
    ...select(1, 1, 0),
    ...select(2, 0, 1),
    ...note(0, 60),
    ...note(1, 61),
    ...note(0, 62),
    ...note(1, 63),
  ];
  const written = songBytes([song]);
  const parsed = readSong(written);
  const fit = fitSong(parsed, buildTimeline(parsed), TWO_PARTS, 2);
  expect(fit.after.parts).toBe(2);
  expect(soundsIn(writeSong(fit.song!))).toEqual(soundsIn(written));
  expect(fit.fitted.parts).toMatchObject({ otherProgram: [], withoutPart: [] });
});

test('a mode message that ends the notes of one channel ends none of another that has the same sound', () => {
  // Piano on three channels, flute on a fourth: four want to play at once, and there are two parts.
  const written = songBytes([
    [
      [0, [0xc3, 73]],
      [0, [0x93, 84, 70]],
      [0, [0x90, 60, 90]],
      [0, [0x91, 64, 90]],
      [0, [0x92, 67, 90]],
      [48, [0xb0, 120, 0]],
      [48, [0x81, 64, 64]],
      [0, [0x82, 67, 64]],
      [0, [0x80, 60, 64]],
      [0, [0x83, 84, 64]],
    ],
  ]);
  const parsed = readSong(written);
  const instrument = { ...GENERAL_MIDI, parts: 2, drums: { channels: [], keys: new Map(), kits: new Map() } };
  const fit = fitSong(parsed, buildTimeline(parsed), instrument, 2);
  const events = parseMidi(writeSong(fit.song!)).tracks.flat();
  const sounding = new Map<number, number>();
  const cut = new Set<number>();
  for (const event of events) {
    if (event.type === 'noteOn' && event.velocity > 0) sounding.set(event.noteNumber, event.channel);
    if (event.type === 'noteOff') sounding.delete(event.noteNumber);
    if (event.type !== 'controller' || event.controllerType !== 120) continue;
    for (const [key, channel] of sounding) if (channel === event.channel) cut.add(key);
  }
  // Channel 1 has no part beside the two others and the flute: its note is left out, or is all that is cut.
  expect([...cut].filter((key) => key !== 60)).toEqual([]);
  expect(fit.after.lossPercent).toBeLessThan(fit.before.lossPercent);
});

test('a bank that one controller selects alone takes any value of the other: a variation of General MIDI 2 stays', () => {
  // Bank 121, and the LSB is the variation (RP-024): LSB 3 is there; program 1 of bank 5 is not, and goes back to 121/0.
  const variation: DeltaEvent[] = [
    [0, [0xb0, 0, 121]],
    [0, [0xb0, 32, 3]],
    [0, [0xc0, 4]],
    [0, [0x90, 60, 90]],
    [48, [0x80, 60, 64]],
  ];
  const elsewhere: DeltaEvent[] = [
    [0, [0xb0, 0, 5]],
    [0, [0xc0, 1]],
    [0, [0x90, 61, 90]],
    [48, [0x80, 61, 64]],
  ];
  const fitOf = (events: DeltaEvent[]) => {
    const song = readSong(songBytes([events]));
    return fitSong(song, buildTimeline(song), GENERAL_MIDI_2, 2);
  };
  expect(fitOf(variation).song).toBeUndefined();
  const both = fitOf([...variation, ...elsewhere, ...variation]);
  expect(soundsIn(writeSong(both.song!))).toEqual(
    new Map([
      [60, '3/4'],
      [61, '0/1'],
    ]),
  );
  expect(both.fitted.programs.moves.map(({ from, notes }) => [from, notes])).toEqual([[1, 1]]);
});
