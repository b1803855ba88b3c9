import JZZ from 'jzz';
// @ts-expect-error: it has no types
import addSmf from 'jzz-midi-smf';
import { parseMidi } from 'midi-file';
import { describe, expect, test } from 'vitest';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument, ResetKind } from '../../../../src/core/instrument/instrument.ts';
import { checkSong } from '../../../../src/core/report/check-song.ts';
import { renderFit } from '../../../../src/core/report/render-fit.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { fittedBytes } from '../../../support/fitted-bytes.ts';
import { type DeltaEvent, songBytes, sysEx } from '../../../support/song-bytes.ts';

addSmf(JZZ);

/** F0 7E dd 09 and 01 General MIDI System On, 02 Off (MIDI 1.0, Table VIIa), 03 General MIDI 2 System On (RP-024). */
const reset = (subId: number, device = 0x7f): DeltaEvent => [
  0,
  sysEx([0xf0, 0x7e, device, 0x09, subId, 0xf7]),
];
const [GM_ON, GM_OFF, GM2_ON] = [reset(1), reset(2), reset(3)];
const NOTE: DeltaEvent[] = [
  [0, [0xc0, 0]],
  [0, [0x90, 60, 100]],
  [96, [0x80, 60, 64]],
];

function knowing(...resets: ResetKind[]): Instrument {
  return { ...GENERAL_MIDI, resets: new Set([...resets, 'reset-all-controllers', 'all-notes-off']) };
}

function fitted(events: readonly DeltaEvent[], instrument: Instrument) {
  const { document, bytes } = fittedBytes(events, instrument);
  return { document, bytes, report: renderFit(document, { clean: (text) => text, out: undefined }) };
}

/** Sub-ids of the resets in a file as midi-file reads it, and as jzz does. */
function resetsIn(bytes: Uint8Array): number[] {
  const one = parseMidi(bytes)
    .tracks.flat()
    .flatMap((event) => (event.type === 'sysEx' ? [Array.from(event.data ?? [])] : []));
  const jzz = new (JZZ.MIDI as unknown as { SMF: new (text: string) => ArrayLike<ArrayLike<number>>[] }).SMF(
    String.fromCharCode(...bytes),
  );
  const other = Array.from(jzz).flatMap((track) =>
    Array.from(track as ArrayLike<ArrayLike<number>>)
      .filter((message) => message[0] === 0xf0)
      .map((message) => Array.from(message).slice(1)),
  );
  expect(one).toEqual(other);
  return one.map((data) => data[3]!);
}

function findingsOn(bytes: Uint8Array, instrument: Instrument): string[] {
  const song = readSong(bytes);
  const { findings } = checkSong('a.mid', song, buildTimeline(song), {
    instrument,
    instrumentName: 'x.toml',
  }).instrument;
  return findings.map(({ text }) => text);
}

describe('a General MIDI reset in a song', () => {
  test.each<[string, DeltaEvent, ResetKind[], number[]]>([
    ['2 On, to one that follows 1 On only', GM2_ON, ['gm1'], [1]],
    ['1 On, to one that follows 2 On only', GM_ON, ['gm2'], [3]],
    ['2 On, to one that follows both', GM2_ON, ['gm1', 'gm2'], [3]],
    ['1 On, to one that follows both', GM_ON, ['gm1', 'gm2'], [1]],
    ['2 On, to one that follows neither', GM2_ON, [], []],
    ['Off, to one that follows 2 On', GM_OFF, ['gm2'], [2]],
    ['Off, to one that follows neither', GM_OFF, [], []],
  ])('%s', (_, sent, resets, expected) => {
    const instrument = knowing(...resets);
    const { bytes, document } = fitted([sent, ...NOTE], instrument);
    expect(resetsIn(bytes)).toEqual(expected);
    expect(document.leftOut.resets).toBe(1 - expected.length);
    expect(findingsOn(bytes, instrument)).toEqual([]);
    expect(fitted([], instrument).document.changed).toBe(false);
  });

  test('the one for the other keeps its device, is counted, and stands in report and check', () => {
    const song = [GM2_ON, ...NOTE, reset(3, 0x10), ...NOTE];
    const { bytes, document, report } = fitted(song, knowing('gm1'));
    expect(document.resetsExchanged).toEqual([{ from: 'gm2-on', to: 'gm-on', count: 2 }]);
    expect(document.leftOut.resets).toBe(0);
    expect(report).toContain(
      '  2 × General MIDI 2 System On becomes General MIDI System On, which is followed',
    );
    const devices = parseMidi(bytes)
      .tracks.flat()
      .flatMap((event) => (event.type === 'sysEx' ? [event.data![1]] : []));
    expect(devices).toEqual([0x7f, 0x10]);
    expect(findingsOn(songBytes([song]), knowing('gm1'))).toEqual([
      'The instrument does not follow General MIDI 2 System On but General MIDI System On (2 messages, from bar 1, beat 1).',
    ]);
    expect(findingsOn(songBytes([[GM_OFF, ...NOTE]]), knowing())).toEqual([
      'The instrument does not follow General MIDI System Off (1 message, from bar 1, beat 1).',
    ]);
  });

  test('a song without one gets none', () => {
    for (const resets of [['gm1'], ['gm2'], []] as ResetKind[][]) {
      const { document, bytes } = fitted(NOTE, knowing(...resets));
      expect(document.changed).toBe(false);
      expect(resetsIn(bytes)).toEqual([]);
    }
  });

  test('a message that is none, or is cut into packets, is not touched', () => {
    const others: DeltaEvent[] = [
      [0, sysEx([0xf0, 0x7e, 0x7f, 0x06, 0x01, 0xf7])],
      [0, sysEx([0xf0, 0x7e, 0x7f, 0x09])],
      [0, [0xf7, 0x02, 0x03, 0xf7]],
    ];
    expect(fitted([...others, ...NOTE], knowing()).document.changed).toBe(false);
  });
});

describe('bends after a reset', () => {
  const range = (semitones: number): DeltaEvent[] => [
    [0, [0xb0, 101, 0]],
    [0, [0xb0, 100, 0]],
    [0, [0xb0, 6, semitones]],
  ];
  const bend: DeltaEvent = [0, [0xe0, 0, 96]];
  const twelve = { ...knowing('gm1'), bendRangeSemitones: 12 };

  test('mean two semitones, and so does an instrument of another range that heeds it: nothing is put in', () => {
    expect(fitted([GM_ON, bend, ...NOTE], twelve).document.putIn.bendRangeChannels).toEqual([]);
    expect(fitted([GM2_ON, bend, ...NOTE], twelve).document.putIn.bendRangeChannels).toEqual([]);
  });

  test('where the reset is left out, the two semitones it would have brought back are put in', () => {
    const song = [...range(7), bend, ...NOTE, GM_ON, bend, ...NOTE];
    const { bytes, document } = fitted(song, knowing());
    expect(document.putIn.bendRangeChannels).toEqual([1]);
    const entries = parseMidi(bytes)
      .tracks.flat()
      .flatMap((event) => (event.type === 'controller' && event.controllerType === 6 ? [event.value] : []));
    expect(entries).toEqual([7, 2]);
    expect(fitted(song, knowing('gm2')).document.putIn.bendRangeChannels).toEqual([]);
    expect(findingsOn(bytes, knowing())).toEqual([]);
  });
});
