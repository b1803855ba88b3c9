import fc from 'fast-check';
import JZZ from 'jzz';
// @ts-expect-error: it has no types
import addSmf from 'jzz-midi-smf';
import { parseMidi } from 'midi-file';
import { describe, expect, test } from 'vitest';
import { fitDocument } from '../../../../src/core/arrange/fit/fit-document.ts';
import { fitSong } from '../../../../src/core/arrange/fit/fit-song.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../../src/core/instrument/instrument.ts';
import { checkSong } from '../../../../src/core/report/check-song.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { writeSong } from '../../../../src/core/smf/write-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { DRUM_BOX, FEW_SOUNDS, instruments, songOf, tracks } from '../../../support/arbitrary-fits.ts';
import { npmSongs } from '../../../support/package-songs.ts';
import { playSimulated } from '../../../support/simulated-instrument.ts';
import { SimulatedLoss } from '../../../support/simulated-loss.ts';
import { type DeltaEvent, songBytes } from '../../../support/song-bytes.ts';

addSmf(JZZ);

function fitted(bytes: Uint8Array, instrument: Instrument) {
  const song = readSong(bytes);
  const timeline = buildTimeline(song);
  const fit = fitSong(song, timeline, instrument, 4);
  return { song, timeline, fit, bytes: fit.song === undefined ? bytes : writeSong(fit.song) };
}

describe('a fit', () => {
  test('of a fitted song changes nothing, and never makes a song worse', () => {
    fc.assert(
      fc.property(tracks, instruments, (things, instrument) => {
        const once = fitted(songOf(things), instrument);
        expect(once.fit.after.lossPercent).toBeLessThanOrEqual(once.fit.before.lossPercent + 0.005);
        expect(fitted(once.bytes, instrument).fit.song).toBeUndefined();
      }),
      { numRuns: 40, seed: 11 },
    );
  });

  test('sends only what the instrument hears, on no more parts than it has', () => {
    fc.assert(
      fc.property(tracks, instruments, (things, instrument) => {
        const { bytes, fit } = fitted(songOf(things), instrument);
        const { columns } = buildTimeline(readSong(bytes));
        const { drums, keys, channels } = instrument;
        const melodic = new Set<number>();
        for (let row = 0; row < columns.count; row += 1) {
          if ((columns.status[row]! & 0xf0) !== 0x90 || columns.data2[row] === 0) continue;
          const channel = columns.status[row]! & 15;
          const key = columns.data1[row]!;
          const isDrum = fit.fitted.marks.drumChannels.includes(channel);
          if (isDrum) expect(drums.keys.has(key)).toBe(true);
          else {
            expect(key >= keys.low && key <= keys.high).toBe(true);
            melodic.add(channel);
          }
          if (fit.fitted.parts !== undefined) expect(isDrum || channels.includes(channel)).toBe(true);
        }
        if (fit.fitted.parts !== undefined) expect(melodic.size).toBeLessThanOrEqual(instrument.parts);
      }),
      { numRuns: 30, seed: 5 },
    );
  });

  test('real songs: nothing held is cut, nothing is worse, by a second simulated instrument', () => {
    const drumKeys = new Set(GENERAL_MIDI.drums.keys.keys());
    for (const { name, bytes } of npmSongs().slice(0, 2)) {
      for (const full of ['released', 'oldest', 'newest'] as const) {
        const instrument = { ...GENERAL_MIDI, voices: 8, full, releaseMicros: 200_000 };
        const traits = { voices: 8, full, releaseMicros: 200_000, drums: [9], drumKeys };
        const { timeline, bytes: after } = fitted(bytes, instrument);
        const loss = new SimulatedLoss(timeline, traits);
        const alone = loss.of(playSimulated(timeline.columns, timeline.durationMicros, traits));
        const played = playSimulated(buildTimeline(readSong(after)).columns, timeline.durationMicros, traits);
        expect(loss.of(played).percent, `${name} ${full}`).toBeLessThanOrEqual(alone.percent + 0.01);
        if (full === 'released') expect(played.cut, name).toBe(0);
      }
    }
  });

  test('what is written is read alike by midi-file and jzz', () => {
    const { bytes } = npmSongs()[0]!;
    const instrument = { ...GENERAL_MIDI, voices: 8, parts: 2, full: 'released' as const };
    const after = fitted(bytes, instrument);
    expect(after.fit.song).toBeDefined();
    const count = after.fit.after.notes;
    const others = parseMidi(after.bytes).tracks.flat();
    expect(others.filter((event) => event.type === 'noteOn' && event.velocity > 0).length).toBe(count);
    const jzz = new (JZZ.MIDI as unknown as { SMF: new (text: string) => JzzTrack[] }).SMF(
      String.fromCharCode(...after.bytes),
    );
    const ons = Array.from(jzz).flatMap((track) =>
      Array.from(track).filter((message) => (message[0]! & 0xf0) === 0x90 && message[2]! > 0),
    );
    expect(ons.length).toBe(count);
  });
});

type JzzTrack = ArrayLike<ArrayLike<number>>;

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
});
