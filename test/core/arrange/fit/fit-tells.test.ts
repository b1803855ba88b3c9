import { describe, expect, test } from 'vitest';
import { fitDocument } from '../../../../src/core/arrange/fit/fit-document.ts';
import { fitSong } from '../../../../src/core/arrange/fit/fit-song.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../../src/core/instrument/instrument.ts';
import { checkSong } from '../../../../src/core/report/check-song.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { writeSong } from '../../../../src/core/smf/write-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { DRUM_BOX, FEW_SOUNDS } from '../../../support/arbitrary-fits.ts';
import { type DeltaEvent, songBytes } from '../../../support/song-bytes.ts';

function fitted(bytes: Uint8Array, instrument: Instrument) {
  const song = readSong(bytes);
  const timeline = buildTimeline(song);
  const fit = fitSong(song, timeline, instrument, 4);
  return { song, timeline, fit, bytes: fit.song === undefined ? bytes : writeSong(fit.song) };
}

describe('what the fit tells', () => {
  const note = (channel: number, key: number): DeltaEvent[] => [
    [0, [0x90 | channel, key, 100]],
    [96, [0x80 | channel, key, 64]],
  ];
  const documentOf = (events: DeltaEvent[], instrument: Instrument) => {
    const { timeline, fit, bytes } = fitted(songBytes([events]), instrument);
    return { document: fitDocument('a.mid', timeline, 4, fit), bytes };
  };

  test('a program that is missing becomes the nearest, chosen by its bank', () => {
    const banks = [{ name: 'few', msb: 3, lsb: undefined, programs: FEW_SOUNDS }];
    const { document, bytes } = documentOf([[0, [0xc0, 57]], ...note(0, 60)], { ...GENERAL_MIDI, banks });
    expect(document.programs).toEqual([
      { channel: 1, from: 58, to: 16, toName: 'Sound 6', why: 'family', notes: 1 },
    ]);
    const { columns } = buildTimeline(readSong(bytes));
    const sent = Array.from({ length: 2 }, (_, row) => [
      columns.status[row],
      columns.data1[row],
      columns.data2[row],
    ]);
    expect(sent).toEqual([
      [0xb0, 0, 3],
      [0xc0, 15, 0],
    ]);
  });

  test('where notes come before any program the first is put in, and check then misses none', () => {
    const events = [...note(0, 60), ...note(9, 36)];
    const programMissing = (bytes: Uint8Array) => {
      const song = readSong(bytes);
      const { instrument } = checkSong('a.mid', song, buildTimeline(song), {
        instrumentName: 'general-midi',
      });
      return instrument.findings.filter(({ code }) => code === 'no-program').length;
    };
    const { document, bytes } = documentOf(events, GENERAL_MIDI);
    expect(document.putIn.programChannels).toEqual([1]);
    expect([programMissing(songBytes([events])), programMissing(bytes)]).toEqual([1, 0]);
    expect(document.keptProgramPercent).toBe(100);
    expect(fitted(bytes, GENERAL_MIDI).fit.song).toBeUndefined();
  });

  test('a bank that is selected before the first note, and no program after it, counts for nothing', () => {
    const banks = [{ name: 'few', msb: 3, lsb: undefined, programs: FEW_SOUNDS }];
    const instrument = { ...GENERAL_MIDI, banks };
    const { bytes } = documentOf([[0, [0xb0, 0, 3]], ...note(0, 60)], instrument);
    const { columns } = buildTimeline(readSong(bytes));
    const sent = Array.from({ length: 3 }, (_, row) => [
      columns.status[row],
      columns.data1[row],
      columns.data2[row],
    ]);
    expect(sent).toEqual([
      [0xb0, 0, 3],
      [0xc0, 0, 0],
      [0x90, 60, 100],
    ]);
    expect(fitted(bytes, instrument).fit.song).toBeUndefined();
    const onSeven = [[0, [0xb6, 0, 3]] as DeltaEvent, ...note(6, 60)];
    const moved = documentOf(onSeven, { ...instrument, channels: [0, 1] });
    expect(fitted(moved.bytes, { ...instrument, channels: [0, 1] }).fit.song).toBeUndefined();
  });

  test('drums: a cowbell that is missing is left out, a second snare becomes the first', () => {
    const drums = { channels: [9], keys: DRUM_BOX, kits: new Map<number, string>() };
    const { document } = documentOf([...note(9, 56), ...note(9, 40)], { ...GENERAL_MIDI, drums });
    expect(document.moved).toEqual([{ what: 'drum-key', channel: 10, from: 40, to: 38, notes: 1 }]);
    expect(document.leftOut.notes.noDrumSound).toBe(1);
  });

  test('a part that lies too low goes up as a whole', () => {
    const { document } = documentOf([...note(0, 30), ...note(0, 31), ...note(0, 47)], {
      ...GENERAL_MIDI,
      keys: { low: 36, high: 96 },
    });
    expect(document.moved).toEqual([{ what: 'part-key', channel: 1, from: 30, to: 42, notes: 3 }]);
  });

  test('bends mean two semitones: an instrument of twelve is told so, or the bends are made smaller', () => {
    const events: DeltaEvent[] = [[0, [0xe0, 0, 96]], ...note(0, 60)];
    const told = documentOf(events, { ...GENERAL_MIDI, bendRangeSemitones: 12 });
    expect(told.document.putIn.bendRangeChannels).toEqual([1]);
    const deaf = { ...GENERAL_MIDI, bendRangeSemitones: 12, registeredParameters: new Set<number>() };
    const scaled = documentOf(events, deaf);
    expect(scaled.document.bendsScaledChannels).toEqual([1]);
    const { columns } = buildTimeline(readSong(scaled.bytes));
    // 4096 of two semitones is one semitone: 683 of twelve.
    expect(columns.data1[0]! | (columns.data2[0]! << 7)).toBe(8192 + 683);
  });

  test('a reset that is not followed is written out: controllers and bend at rest, keys let go', () => {
    const events: DeltaEvent[] = [
      [0, [0xc0, 0]],
      [0, [0xb0, 11, 20]],
      [0, [0xe0, 0, 96]],
      [0, [0x90, 60, 90]],
      [96, [0xb0, 121, 0]],
      [96, [0xb0, 123, 0]],
      [96, [0x80, 60, 64]],
    ];
    const { document, bytes } = documentOf(events, { ...GENERAL_MIDI, resets: new Set() });
    expect(document.putIn.resetMessages).toBe(3);
    const { columns } = buildTimeline(readSong(bytes));
    const sent = Array.from({ length: columns.count }, (_, row) => [
      columns.tick[row],
      columns.status[row],
      columns.data1[row],
      columns.data2[row],
    ]);
    expect(sent.slice(4)).toEqual([
      [96, 0xb0, 11, 127],
      [96, 0xe0, 0, 64],
      [192, 0x80, 60, 64],
      [288, 0x80, 60, 64],
    ]);
  });

  test('a pedal that is not followed is written out as longer notes', () => {
    const events: DeltaEvent[] = [[0, [0xc0, 0]], [0, [0xb0, 64, 127]], ...note(0, 60), [96, [0xb0, 64, 0]]];
    const { document, bytes } = documentOf(events, { ...GENERAL_MIDI, controllers: new Set([7]) });
    expect(document.pedalsWrittenOutChannels).toEqual([1]);
    const { columns } = buildTimeline(readSong(bytes));
    expect(columns.count).toBe(3);
    expect(columns.tick[2]).toBe(192);
  });

  test('a bank with both halves is there where both are asked for, and its program moves within it', () => {
    const banks = [{ name: 'few', msb: 3, lsb: 5, programs: FEW_SOUNDS }];
    const select: DeltaEvent[] = [
      [0, [0xb0, 0, 3]],
      [0, [0xb0, 32, 5]],
      [0, [0xc0, 1]],
    ];
    const { document } = documentOf([...select, ...note(0, 60)], { ...GENERAL_MIDI, banks });
    expect(document.leftOut.banks).toBe(0);
    expect(document.programs).toMatchObject([{ channel: 1, from: 2, notes: 1 }]);
    const other = documentOf([[0, [0xb0, 32, 4]], ...select.slice(2), ...note(0, 60)], {
      ...GENERAL_MIDI,
      banks,
    });
    expect(other.document.leftOut.banks).toBe(1);
  });

  test('channels: their notes, those with another program, those that are left out, and why most are', () => {
    const drums = { channels: [9], keys: DRUM_BOX, kits: new Map<number, string>() };
    const banks = [{ name: 'few', msb: undefined, lsb: undefined, programs: FEW_SOUNDS }];
    const few = { ...GENERAL_MIDI, drums, banks, keys: { low: 48, high: 59 } };
    const { document } = documentOf(
      [
        ...[[0, [0xc0, 0]] as DeltaEvent, ...note(0, 50), ...note(0, 52)],
        ...[[0, [0xc1, 57]] as DeltaEvent, ...note(1, 50)],
        ...[...note(9, 36), ...note(9, 56), ...note(9, 56)],
      ],
      few,
    );
    expect(document.channels).toMatchObject([
      {
        channel: 1,
        drums: false,
        notes: 2,
        playsOn: [1],
        leftOut: 0,
        leftOutWhy: null,
        shortened: 0,
        otherProgram: 0,
      },
      {
        channel: 2,
        drums: false,
        notes: 1,
        playsOn: [2],
        leftOut: 0,
        leftOutWhy: null,
        shortened: 0,
        otherProgram: 1,
      },
      {
        channel: 10,
        drums: true,
        notes: 3,
        playsOn: [10],
        leftOut: 2,
        leftOutWhy: 'noDrumSound',
        otherProgram: 0,
      },
    ]);
  });

  test('a fit that any other program understands puts no text of ours into the song', () => {
    const { document, bytes } = documentOf(note(0, 60), GENERAL_MIDI);
    expect(document.changed).toBe(true);
    expect(Buffer.from(bytes).includes('wirepit')).toBe(false);
  });

  test('bars: what is lost of each, in percent of what is worth hearing there', () => {
    // One voice; in bar 2 two equal notes a fifth apart. What the second takes the first away is lost.
    const one = { ...GENERAL_MIDI, voices: 1, releaseMicros: 0, full: 'oldest' as const };
    const events: DeltaEvent[] = [
      [0, [0xc0, 16]],
      ...note(0, 60),
      [288, [0x90, 60, 100]],
      [0, [0x90, 67, 100]],
      [96, [0x80, 60, 64]],
      [0, [0x80, 67, 64]],
    ];
    const { document } = documentOf(events, one);
    expect(document.bars.map(({ bar }) => bar)).toEqual([2]);
    for (const { before, after } of document.bars) {
      expect(before).toBeGreaterThan(25);
      expect(before).toBeLessThanOrEqual(75);
      expect(after).toBeLessThanOrEqual(before);
    }
  });
});
