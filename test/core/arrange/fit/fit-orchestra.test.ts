import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { columnsOfChannels } from '../../../../src/core/arrange/columns-of-channels.ts';
import { fitDocument } from '../../../../src/core/arrange/fit/fit-document.ts';
import type { FitSeat } from '../../../../src/core/arrange/fit/fit-seat.ts';
import { fitOrchestra, fitSong } from '../../../../src/core/arrange/fit/fit-song.ts';
import { seatsTogether } from '../../../../src/core/arrange/fit/seats-together.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { ResetKind } from '../../../../src/core/instrument/instrument.ts';
import { ALL_CHANNELS, reachedInstrument } from '../../../../src/core/instrument/orchestra.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import type { Song } from '../../../../src/core/smf/song.ts';
import { writeSong } from '../../../../src/core/smf/write-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { instruments, songOf, tracks } from '../../../support/arbitrary-fits.ts';
import { npmSongs } from '../../../support/package-songs.ts';
import { playSimulated } from '../../../support/simulated-instrument.ts';
import { SimulatedLoss } from '../../../support/simulated-loss.ts';
import { sysEx } from '../../../support/song-bytes.ts';
import { columnsIn, fitted, messagesOf } from './fitted-to-seats.ts';

/** The song less the messages of the other channels: all else, its end among it, stays. */
function onlyChannels(song: Song, channels: readonly number[]): Uint8Array {
  const { events } = song;
  const isKept = (row: number) => {
    const status = events.status[row]!;
    return status >= 0xf0 || channels.includes(status & 15);
  };
  const rows = Array.from({ length: events.count }, (_, row) => row);
  const kept = Uint32Array.from(rows.filter(isKept));
  return writeSong({
    ...song,
    events: {
      count: kept.length,
      tick: Uint32Array.from(kept, (row) => events.tick[row]!),
      status: Uint8Array.from(kept, (row) => events.status[row]!),
      data1: Uint8Array.from(kept, (row) => events.data1[row]!),
      data2: Uint8Array.from(kept, (row) => events.data2[row]!),
      payload: Uint32Array.from(kept, (row) => events.payload[row]!),
    },
    trackStart: song.trackStart.map((start) => rows.slice(0, start).filter(isKept).length),
  });
}

/** Two instruments that share the sixteen channels out. */
const orchestras = fc
  .record({
    one: instruments,
    other: instruments,
    isFirst: fc.array(fc.boolean(), { minLength: 16, maxLength: 16 }),
  })
  .map(({ one, other, isFirst }): FitSeat[] => [
    { port: 'a', instrument: one, channels: ALL_CHANNELS.filter((channel) => isFirst[channel]) },
    { port: 'b', instrument: other, channels: ALL_CHANNELS.filter((channel) => !isFirst[channel]) },
  ]);

/** General MIDI System On, Off and that of General MIDI 2 (MIDI 1.0, Table VIIa; RP-024). */
const systemResets = fc.array(
  fc
    .record({ tick: fc.integer({ min: 0, max: 60 }), subId: fc.constantFrom(1, 2, 3) })
    .map(({ tick, subId }): [number, number[]] => [tick * 12, sysEx([0xf0, 0x7e, 0x7f, 0x09, subId, 0xf7])]),
  { maxLength: 2 },
);

/** What each of two follows. */
const resetsKnown = fc
  .subarray(['gm1', 'gm2', 'all-notes-off', 'reset-all-controllers'] as const)
  .map((resets): ReadonlySet<ResetKind> => new Set(resets));
const deafness = fc.tuple(resetsKnown, resetsKnown);

describe('a fit to several instruments', () => {
  test('one that has all the channels: as without a map', () => {
    fc.assert(
      fc.property(tracks, instruments, (things, instrument) => {
        const bytes = songOf(things);
        const song = readSong(bytes);
        const timeline = buildTimeline(song);
        const alone = fitSong(song, timeline, instrument, 2);
        const mapped = fitOrchestra(song, timeline, [{ port: 'a', instrument, channels: ALL_CHANNELS }], 2);
        expect(mapped.song).toEqual(alone.song);
        const { instruments: all, channels, ...document } = fitDocument('a.mid', timeline, 2, mapped);
        const { channels: plain, ...expected } = fitDocument('a.mid', timeline, 2, alone);
        expect({ ...document, instruments: [] }).toEqual(expected);
        expect(channels).toEqual(plain.map((one) => ({ ...one, port: 'a' })));
        expect(all.map(({ port, before, after }) => [port, before, after])).toEqual([
          ['a', document.before, document.after],
        ]);
      }),
      { numRuns: 30, seed: 3 },
    );
  });

  test('the part of each is what that part alone becomes', () => {
    fc.assert(
      fc.property(tracks, orchestras, systemResets, (things, given, resets) => {
        const bytes = songOf(things, resets);
        // Of two that follow other resets one may keep what the other would have exchanged.
        const [{ instrument }] = given as [FitSeat];
        const seats = given.map((seat) => ({
          ...seat,
          instrument: { ...seat.instrument, resets: instrument.resets },
        }));
        const { timeline, fit, bytes: fittedBytes } = fitted(bytes, seats);
        const whole = columnsIn(fittedBytes);
        const together = seatsTogether(timeline.columns, fit.seats);
        for (let row = 1; row < together.count; row += 1) {
          const [tick, track] = [together.tick, together.track].map((of) => of[row]! - of[row - 1]!);
          expect(tick! > 0 || (tick === 0 && track! >= 0)).toBe(true);
        }
        for (const seat of seats) {
          const part = onlyChannels(readSong(bytes), seat.channels);
          const alone = fitted(part, [{ ...seat, port: undefined, instrument: reachedInstrument(seat) }]);
          expect(messagesOf(columnsOfChannels(whole, seat.channels).columns)).toEqual(
            messagesOf(columnsIn(alone.bytes)),
          );
        }
      }),
      { numRuns: 60, seed: 19 },
    );
  });

  test('fitted again nothing changes; no instrument is worse off; no channel leaves its port', () => {
    fc.assert(
      fc.property(tracks, orchestras, systemResets, deafness, (things, given, resets, known) => {
        const seats = given.map((seat, n) => ({
          ...seat,
          instrument: { ...seat.instrument, resets: known[n]! },
        }));
        const once = fitted(songOf(things, resets), seats);
        expect(fitted(once.bytes, seats).fit.song).toBeUndefined();
        for (const { before, after, seat, fitted: mine } of once.fit.seats) {
          expect(after.lossPercent).toBeLessThanOrEqual(before.lossPercent + 0.005);
          for (const status of mine.columns.status) {
            if (status < 0xf0) expect(seat.channels).toContain(status & 15);
          }
        }
      }),
      { numRuns: 40, seed: 23 },
    );
  });

  test('real songs: nothing is worse at any instrument, by a second simulated instrument', () => {
    const drumKeys = new Set(GENERAL_MIDI.drums.keys.keys());
    const few = { voices: 6, releaseMicros: 200_000 };
    for (const { name, bytes } of npmSongs().slice(0, 2)) {
      for (const full of ['released', 'oldest', 'newest'] as const) {
        const seat = (port: string, channels: readonly number[]): FitSeat => ({
          port,
          channels,
          instrument: { ...GENERAL_MIDI, ...few, full },
        });
        const seats = [seat('a', [0, 2, 4, 6, 8, 10, 12, 14]), seat('b', [1, 3, 5, 7, 9, 11, 13, 15])];
        const { timeline, bytes: after } = fitted(bytes, seats);
        const whole = columnsIn(after);
        for (const { port, channels } of seats) {
          const traits = { ...few, full, drums: [9], drumKeys };
          const columns = columnsOfChannels(timeline.columns, channels).columns;
          const loss = new SimulatedLoss({ ...timeline, columns }, traits);
          const alone = loss.of(playSimulated(columns, timeline.durationMicros, traits));
          const now = columnsOfChannels(whole, channels).columns;
          const played = loss.of(playSimulated(now, timeline.durationMicros, traits));
          expect(played.percent, `${name} ${full} ${port}`).toBeLessThanOrEqual(alone.percent + 0.01);
        }
      }
    }
  });
});
