import fc from 'fast-check';
import JZZ from 'jzz';
// @ts-expect-error: it has no types
import addSmf from 'jzz-midi-smf';
import { parseMidi } from 'midi-file';
import { describe, expect, test } from 'vitest';
import { fitSong } from '../../../../src/core/arrange/fit/fit-song.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../../src/core/instrument/instrument.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { writeSong } from '../../../../src/core/smf/write-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { instruments, songOf, tracks } from '../../../support/arbitrary-fits.ts';
import { npmSongs } from '../../../support/package-songs.ts';
import { playSimulated } from '../../../support/simulated-instrument.ts';
import { SimulatedLoss } from '../../../support/simulated-loss.ts';

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
