import { describe, expect, test } from 'vitest';
import { GENERAL_MIDI_2 } from '../../../src/core/instrument/general-midi-2.ts';
import { GENERAL_MIDI } from '../../../src/core/instrument/general-midi-instrument.ts';
import type { ResetKind } from '../../../src/core/instrument/instrument.ts';
import {
  modeReset,
  resetHeard,
  resetsFollowed,
  SYSTEM_RESET_SUB_ID,
} from '../../../src/core/instrument/reset-heard.ts';
import {
  knowsRhythmBank,
  RhythmBank,
  songDrumChannels,
  withSongDrums,
} from '../../../src/core/instrument/song-drums.ts';
import {
  isDrumChannel,
  lanesSoundName,
  soundName,
  wishedSoundName,
} from '../../../src/core/instrument/sound-names.ts';
import { hex } from '../../support/hex.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

const songOf = (messages: string) =>
  timelineOf(messages.split('|').map((one, n): TimedBytes => [n, ...hex(one)]));

const GM_ON = 'F0 7E 7F 09 01 F7';
const GM2_ON = 'F0 7E 7F 09 03 F7';
const GM_OFF = 'F0 7E 7F 09 02 F7';
/** Bank 120 = 78 hex, on channel 11 (General MIDI 2, RP-024). */
const RHYTHM = 'BA 00 78 | CA 00';
const NOTE = '9A 24 40';

describe('channels that a song means as drums', () => {
  test.each([
    ['as in General MIDI 1', NOTE, [9]],
    ['bank 120, a program, notes', `${RHYTHM} | ${NOTE}`, [9, 10]],
    ['no note at all', RHYTHM, [9]],
    ['a note-off is none', `${RHYTHM} | 9A 24 00 | 8A 24 40`, [9]],
    ['a note before the program', `BA 00 78 | ${NOTE} | CA 00 | ${NOTE}`, [9]],
    ['another bank', `BA 00 77 | CA 00 | ${NOTE}`, [9]],
    ['the fine half is no bank of drums', `BA 20 78 | CA 00 | ${NOTE}`, [9]],
    ['for a while a melody', `${RHYTHM} | ${NOTE} | BA 00 79 | CA 00 | ${NOTE}`, [9]],
    ['the bank waits for its program', `${RHYTHM} | BA 00 79 | ${NOTE}`, [9, 10]],
    ['on another channel', `${RHYTHM.replaceAll('A ', '9 ')} | 9B 24 40`, [9]],
    ['notes of another channel are not judged', `${RHYTHM} | 9B 24 40 | ${NOTE}`, [9, 10]],
    ['after General MIDI 1 On no bank counts', `${GM_ON} | ${RHYTHM} | ${NOTE}`, [9]],
    ['nor after Off', `${GM_OFF} | ${RHYTHM} | ${NOTE}`, [9]],
    ['after General MIDI 2 On it does', `${GM_ON} | ${GM2_ON} | ${RHYTHM} | ${NOTE}`, [9, 10]],
    ['a reset takes it back', `${RHYTHM} | ${GM2_ON} | ${NOTE}`, [9]],
    ['the bank too', `BA 00 78 | ${GM2_ON} | CA 00 | ${NOTE}`, [9]],
    ['an inquiry does not', `${RHYTHM} | F0 7E 7F 06 01 F7 | ${NOTE}`, [9, 10]],
  ])('%s', (_, messages, channels) => {
    expect(songDrumChannels(songOf(messages))).toEqual(channels);
  });

  test('of any channel it is told where bank 120 is in force', () => {
    const columns = songOf('B0 00 78 | C0 01 | BF 00 78 | CF 01 | C1 01 | B0 00 00 | C0 01');
    const bank = new RhythmBank(columns);
    const told = Array.from({ length: columns.count }, (_, row) => {
      bank.take(row);
      return bank.isRhythm.flatMap((is, channel) => (is ? [channel] : []));
    });
    expect(told).toEqual([[], [0], [0], [0, 15], [0, 15], [0, 15], [15]]);
  });
});

describe('the instrument as a song sets it up', () => {
  const channelsOf = (instrument: typeof GENERAL_MIDI, drums: readonly number[]) =>
    withSongDrums(instrument, drums).drums.channels;

  test('drums on channel 11 where it knows them and hears that channel, and none there already', () => {
    expect(channelsOf(GENERAL_MIDI_2, [9, 10])).toEqual([9, 10]);
    expect(channelsOf(GENERAL_MIDI_2, [9])).toEqual([9]);
    expect(channelsOf(GENERAL_MIDI, [9, 10])).toEqual([9]);
    expect(channelsOf({ ...GENERAL_MIDI_2, channels: [0, 9] }, [9, 10])).toEqual([9]);
    const eleven = { ...GENERAL_MIDI_2, drums: { ...GENERAL_MIDI_2.drums, channels: [10, 15] } };
    expect(channelsOf(eleven, [9, 10])).toEqual([10, 15]);
    const last = { ...GENERAL_MIDI_2, drums: { ...GENERAL_MIDI_2.drums, channels: [15] } };
    expect(channelsOf(last, [9, 10])).toEqual([10, 15]);
    expect(withSongDrums(GENERAL_MIDI_2, [9, 10]).drums.keys).toBe(GENERAL_MIDI_2.drums.keys);
  });

  test('one without drums has none on channel 11 either', () => {
    const none = { ...GENERAL_MIDI_2, drums: { ...GENERAL_MIDI_2.drums, channels: [] } };
    expect([knowsRhythmBank(none), knowsRhythmBank(GENERAL_MIDI_2), knowsRhythmBank(GENERAL_MIDI)]).toEqual([
      false,
      true,
      false,
    ]);
    expect(channelsOf(none, [9, 10])).toEqual([]);
  });
});

describe('names of sounds', () => {
  const kits = { ...GENERAL_MIDI, drums: { ...GENERAL_MIDI.drums, kits: new Map([[1, 'Tin']]) } };

  test('what a song means, on channels 10 and 11 too', () => {
    expect([wishedSoundName(0, 56), wishedSoundName(9, 0), wishedSoundName(10, 0)]).toEqual([
      'Trumpet',
      'Standard Drums',
      'Acoustic Grand Piano',
    ]);
    expect([wishedSoundName(10, 0, 120), wishedSoundName(10, 0, 121), wishedSoundName(11, 0, 120)]).toEqual([
      'Standard Drums',
      'Acoustic Grand Piano',
      'Acoustic Grand Piano',
    ]);
  });

  test('drums by kit where there are kits', () => {
    expect(lanesSoundName(kits, 9, -1, -1, 1)).toBe('Tin (Drums 2)');
    expect(lanesSoundName(kits, 9, -1, -1, 0)).toBe('no Standard Drums');
    expect(lanesSoundName(GENERAL_MIDI, 9, -1, -1, 25)).toBe('Analog Drums');
    expect(lanesSoundName(GENERAL_MIDI_2, 10, 120, -1, 25)).toBe('Analog Drums');
    expect(lanesSoundName(GENERAL_MIDI, 10, 120, 0, 56)).toBe('Trumpet (SFX Drums)');
  });

  test('what was wished for may be another thing, or nobody’s knowledge', () => {
    expect(lanesSoundName(GENERAL_MIDI, 0, -1, -1, 56, 'Horn')).toBe('Trumpet (Horn)');
    expect(lanesSoundName(GENERAL_MIDI, 0, -1, -1, 56, null)).toBe('Trumpet');
    expect(lanesSoundName(GENERAL_MIDI_2, 0, 5, -1, 56, null)).toBe('no Trumpet');
    expect(lanesSoundName(GENERAL_MIDI_2, 0, 5, -1, 56, 'Horn')).toBe('no Horn');
  });

  test('keys', () => {
    expect([isDrumChannel(GENERAL_MIDI, 9), isDrumChannel(GENERAL_MIDI, 8)]).toEqual([true, false]);
    expect([
      soundName(GENERAL_MIDI, 9, 36),
      soundName(GENERAL_MIDI, 9, 20),
      soundName(GENERAL_MIDI, 0, 36),
    ]).toEqual(['Bass Drum 1', 'G#0', 'C2']);
  });
});

describe('resets (GM1, RP-024)', () => {
  const on = (...resets: ResetKind[]) => new Set(resets);

  test('the same where it is followed, else the other level’s, else none', () => {
    expect([resetHeard('gm-on', on('gm1')), resetHeard('gm2-on', on('gm1', 'gm2'))]).toEqual([
      'gm-on',
      'gm2-on',
    ]);
    expect([resetHeard('gm-on', on('gm2')), resetHeard('gm2-on', on('gm1'))]).toEqual(['gm2-on', 'gm-on']);
    expect([resetHeard('gm-off', on('gm2')), resetHeard('gm-off', on('gm1'))]).toEqual(['gm-off', 'gm-off']);
    for (const reset of ['gm-on', 'gm2-on', 'gm-off'] as const)
      expect(resetHeard(reset, on('all-notes-off'))).toBeUndefined();
  });

  test('those that one of several follows as they are', () => {
    const follow = (...all: ReadonlySet<ResetKind>[]) => [
      ...resetsFollowed(all.map((resets) => ({ resets }))),
    ];
    expect(follow(on('gm1'))).toEqual(['gm-on', 'gm-off']);
    expect(follow(on(), on('gm2'))).toEqual(['gm2-on', 'gm-off']);
    expect(follow(on())).toEqual([]);
  });

  test('by their second sub-id (MIDI 1.0, Table VIIa; RP-024)', () => {
    expect(SYSTEM_RESET_SUB_ID).toEqual({ 'gm-on': 1, 'gm-off': 2, 'gm2-on': 3 });
  });

  test('mode messages that are resets', () => {
    expect([119, 120, 121, 122, 123, 124].map(modeReset)).toEqual([
      ...[undefined, 'all-sound-off', 'reset-all-controllers', undefined, 'all-notes-off', undefined],
    ]);
  });
});
