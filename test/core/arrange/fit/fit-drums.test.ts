import { parseMidi } from 'midi-file';
import { describe, expect, test } from 'vitest';
import { fitSong } from '../../../../src/core/arrange/fit/fit-song.ts';
import { GENERAL_MIDI_2 } from '../../../../src/core/instrument/general-midi-2.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../../src/core/instrument/instrument.ts';
import { songDrumChannels } from '../../../../src/core/instrument/song-drums.ts';
import { checkSong } from '../../../../src/core/report/check-song.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { fittedBytes } from '../../../support/fitted-bytes.ts';
import { type DeltaEvent, songBytes, sysEx } from '../../../support/song-bytes.ts';

/** General MIDI 2 has drums on channels 10 and 11: Bank Select MSB 120, then a program (RP-024). */
const reset = (subId: number): DeltaEvent => [0, sysEx([0xf0, 0x7e, 0x7f, 0x09, subId, 0xf7])];
const [GM_ON, GM2_ON] = [reset(1), reset(3)];
const choose = (channel: number, msb: number, program: number): DeltaEvent[] => [
  [0, [0xb0 | channel, 0, msb]],
  [0, [0xb0 | channel, 32, 0]],
  [0, [0xc0 | channel, program]],
];
const stroke = (channel: number, key: number, velocity = 100): DeltaEvent[] => [
  [0, [0x90 | channel, key, velocity]],
  [24, [0x80 | channel, key, 64]],
];

function fitted(events: readonly DeltaEvent[], instrument: Instrument) {
  const { document, bytes } = fittedBytes(events, instrument);
  const again = readSong(bytes);
  expect(fitSong(again, buildTimeline(again), instrument, 2).song).toBeUndefined();
  return { document, bytes };
}

/** Strokes of a file as midi-file reads it: `channel key velocity`, channels from 1. */
function strokesIn(bytes: Uint8Array): string[] {
  return parseMidi(bytes)
    .tracks.flat()
    .flatMap((event) =>
      event.type === 'noteOn' && event.velocity > 0
        ? [`${event.channel + 1} ${event.noteNumber} ${event.velocity}`]
        : [],
    );
}

function codesOn(bytes: Uint8Array, instrument: Instrument): string[] {
  const song = readSong(bytes);
  const { findings } = checkSong('a.mid', song, buildTimeline(song), {
    instrument,
    instrumentName: 'x.toml',
  }).instrument;
  return findings.map(({ code, channels }) => `${code} ${channels.join()}`);
}

describe('channels that a song means as drums', () => {
  test.each<[string, DeltaEvent[], number[]]>([
    ['channel 10 by itself', stroke(9, 36), [9]],
    ['channel 11 by bank 120 and a program', [...choose(10, 120, 0), ...stroke(10, 36)], [9, 10]],
    ['no other channel by bank 120', [...choose(3, 120, 0), ...stroke(3, 36)], [9]],
    ['not by the bank alone', [[0, [0xba, 0, 120]], ...stroke(10, 36)], [9]],
    ['not by bank 121', [...choose(10, 121, 0), ...stroke(10, 36)], [9]],
    ['not where some notes come before', [...stroke(10, 36), ...choose(10, 120, 0), ...stroke(10, 36)], [9]],
    ['not after General MIDI System On', [GM_ON, ...choose(10, 120, 0), ...stroke(10, 36)], [9]],
    [
      'not after a General MIDI 2 System On behind it',
      [...choose(10, 120, 0), GM2_ON, ...stroke(10, 36)],
      [9],
    ],
    ['after General MIDI 2 System On', [GM2_ON, ...choose(10, 120, 0), ...stroke(10, 36)], [9, 10]],
  ])('%s', (_, events, expected) => {
    expect(songDrumChannels(buildTimeline(readSong(songBytes([events]))).columns)).toEqual(expected);
  });
});

describe('drums on channel 11', () => {
  const both = [
    ...choose(9, 120, 0),
    ...choose(10, 120, 0),
    ...stroke(9, 36),
    ...stroke(10, 49),
    ...stroke(9, 38),
    ...stroke(10, 38),
  ];

  test('join those on channel 10 where an instrument does not know the bank', () => {
    expect(codesOn(songBytes([both]), GENERAL_MIDI)).toEqual(['drums-elsewhere 11']);
    const { bytes, document } = fitted(both, GENERAL_MIDI);
    expect(strokesIn(bytes)).toEqual(['10 36 100', '10 49 100', '10 38 100', '10 38 100']);
    expect(document.moved).toEqual([{ what: 'channel', from: 11, to: 10, why: 'drums', notes: 2 }]);
    expect(document.leftOut.banks).toBe(2);
    expect(document.after.lossPercent).toBe(0);
    expect(codesOn(bytes, GENERAL_MIDI)).toEqual([]);
  });

  test('go there alone, kit and all, where channel 10 has none', () => {
    const { bytes } = fitted([...choose(10, 120, 25), [0, [0xba, 7, 80]], ...stroke(10, 36)], GENERAL_MIDI);
    const events = parseMidi(bytes).tracks.flat();
    expect(events.filter(({ type }) => type === 'programChange')).toMatchObject([
      { channel: 9, programNumber: 25 },
    ]);
    expect(events.filter(({ type }) => type === 'controller')).toMatchObject([
      { channel: 9, controllerType: 7, value: 80 },
    ]);
    expect(strokesIn(bytes)).toEqual(['10 36 100']);
  });

  test('leave the volume of channel 10 alone: the strokes make up for it', () => {
    const song = [
      ...choose(10, 120, 0),
      [0, [0xba, 7, 50]] as DeltaEvent,
      ...stroke(9, 36),
      ...stroke(10, 49, 100),
    ];
    const { bytes } = fitted(song, GENERAL_MIDI);
    // Volume is 100 where nothing was sent (GM1): half as loud is half the velocity.
    expect(strokesIn(bytes)).toEqual(['10 36 100', '10 49 50']);
    expect(
      parseMidi(bytes)
        .tracks.flat()
        .some(({ type }) => type === 'controller'),
    ).toBe(false);
  });

  test('give way where channel 10 strikes the same key already, and are counted', () => {
    const song = [
      ...choose(10, 120, 0),
      [0, [0x99, 38, 90]] as DeltaEvent,
      ...stroke(10, 38),
      ...stroke(10, 42),
    ];
    const { bytes, document } = fitted([...song, [0, [0x89, 38, 64]]], GENERAL_MIDI);
    expect(strokesIn(bytes)).toEqual(['10 38 90', '10 42 100']);
    expect(document.leftOut.notes.keyTaken).toBe(1);
  });

  test('stay where they are on an instrument of General MIDI 2', () => {
    expect(fitted(both, GENERAL_MIDI_2).document.changed).toBe(false);
    expect(codesOn(songBytes([both]), GENERAL_MIDI_2)).toEqual([]);
  });

  test('take a second drum channel where there is one', () => {
    const drums = { ...GENERAL_MIDI.drums, channels: [4, 5] };
    const { bytes } = fitted(both, { ...GENERAL_MIDI, drums });
    expect(strokesIn(bytes)).toEqual(['5 36 100', '6 49 100', '5 38 100', '6 38 100']);
  });

  test('are left out where there are no drums', () => {
    const { document } = fitted(both, {
      ...GENERAL_MIDI,
      drums: { channels: [], keys: new Map(), kits: new Map() },
    });
    expect(document.leftOut.notes.noDrums).toBe(4);
  });

  test('are struck with the kit of channel 10 where the instrument has several', () => {
    const kits = new Map([
      [0, 'Plain'],
      [24, 'Tin'],
    ]);
    const song = [...choose(9, 120, 0), ...choose(10, 120, 24), ...stroke(9, 36), ...stroke(10, 49)];
    const { document } = fitted(song, { ...GENERAL_MIDI, drums: { ...GENERAL_MIDI.drums, kits } });
    expect(document.channels.map(({ channel, otherProgram }) => [channel, otherProgram])).toEqual([
      [10, 0],
      [11, 1],
    ]);
  });
});
