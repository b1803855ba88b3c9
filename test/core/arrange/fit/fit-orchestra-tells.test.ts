import { parseMidi } from 'midi-file';
import { describe, expect, test } from 'vitest';
import { columnsOfChannels } from '../../../../src/core/arrange/columns-of-channels.ts';
import { fitDocument } from '../../../../src/core/arrange/fit/fit-document.ts';
import type { FitSeat } from '../../../../src/core/arrange/fit/fit-seat.ts';
import { GENERAL_MIDI } from '../../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument, ResetKind } from '../../../../src/core/instrument/instrument.ts';
import { profileNamed } from '../../../../src/profile/profile-named.ts';
import { type DeltaEvent, songBytes, sysEx } from '../../../support/song-bytes.ts';
import { columnsIn, fitted, messagesOf } from './fitted-to-seats.ts';

describe('what a fit to several instruments tells', () => {
  const note = (channel: number, key: number): DeltaEvent[] => [
    [0, [0x90 | channel, key, 100]],
    [96, [0x80 | channel, key, 64]],
  ];
  /** 01 General MIDI System On (MIDI 1.0, Table VIIa), 03 that of General MIDI 2 (RP-024). */
  const systemOn = (subId: number): DeltaEvent => [0, sysEx([0xf0, 0x7e, 0x7f, 0x09, subId, 0xf7])];
  const seat = (port: string, channels: readonly number[], traits: Partial<Instrument> = {}): FitSeat => ({
    port,
    channels,
    instrument: { ...GENERAL_MIDI, name: `The ${port}`, ...traits },
  });
  const documentOf = (events: DeltaEvent[], seats: readonly FitSeat[]) => {
    const { timeline, fit, bytes } = fitted(songBytes([events]), seats);
    return { document: fitDocument('a.mid', timeline, 2, fit), bytes };
  };

  test('each channel with the port it goes to; a channel that is not heard, and what is heard elsewhere', () => {
    const box = profileNamed('parlour-piano').instrument;
    const seats = [seat('a', [0, 1]), { port: 'b', channels: [9], instrument: box }];
    const { document } = documentOf([...note(0, 60), ...note(9, 36)], seats);
    expect(document.channels.map(({ channel, port, playsOn }) => [channel, port, playsOn])).toEqual([
      [1, 'a', [1]],
      [10, 'b', []],
    ]);
    expect(document.instruments.map(({ port, channels, hears }) => [port, channels, hears])).toEqual([
      ['a', [1, 2], [1, 2]],
      ['b', [10], []],
    ]);
    expect(document.instruments[1]!.hearsElsewhere).toEqual(box.channels.map((channel) => channel + 1));
    expect(document.before.notes).toBe(2);
    expect(document.after.notes).toBe(1);
  });

  test('bends of an instrument that cannot be told stay its own: those of the other are not touched, nor again', () => {
    const bent = (channel: number): DeltaEvent[] => [[0, [0xe0 | channel, 0, 96]], ...note(channel, 60)];
    const seats = [
      seat('a', [0, 1], { bendRangeSemitones: 12, registeredParameters: new Set() }),
      seat('b', [2, 3], { registeredParameters: new Set() }),
    ];
    const { document, bytes } = documentOf([...bent(0), ...bent(2)], seats);
    expect(document.bendsScaledChannels).toEqual([1]);
    const bends = messagesOf(columnsIn(bytes)).filter(([, , status]) => (status! & 0xf0) === 0xe0);
    // 4096 of two semitones is one semitone: 683 of twelve.
    expect(bends.map(([, , status, low, high]) => [status, low! | (high! << 7)])).toEqual([
      [0xe0, 8192 + 683],
      [0xe2, 8192 + 4096],
    ]);
    expect(fitted(bytes, seats).fit.song).toBeUndefined();
  });

  test('a reset stays while one of them follows it, else the one that is followed goes in its place, or none', () => {
    const knowing = (...resets: ResetKind[]): Partial<Instrument> => ({ resets: new Set(resets) });
    const of = (subId: number, one: Partial<Instrument>, other: Partial<Instrument>) => {
      const seats = [seat('a', [0], one), seat('b', [1], other)];
      const events = [systemOn(subId), ...note(0, 60), ...note(1, 60)];
      const { document, bytes } = documentOf(events, seats);
      expect(fitted(bytes, seats).fit.song).toBeUndefined();
      const resets = parseMidi(bytes)
        .tracks.flat()
        .flatMap((event) => (event.type === 'sysEx' ? [event.data![3]!] : []));
      return { resets, leftOut: document.leftOut.resets, exchanged: document.resetsExchanged };
    };
    const stays = (subId: number) => ({ resets: [subId], leftOut: 0, exchanged: [] });
    expect(of(1, knowing(), knowing('gm1'))).toEqual(stays(1));
    expect(of(3, knowing('gm1'), knowing('gm2'))).toEqual(stays(3));
    const inItsPlace = { resets: [1], leftOut: 0, exchanged: [{ from: 'gm2-on', to: 'gm-on', count: 1 }] };
    expect(of(3, knowing(), knowing('gm1'))).toEqual(inItsPlace);
    expect(of(3, knowing('gm1'), knowing('gm1'))).toEqual(inItsPlace);
    expect(of(3, knowing(), knowing())).toEqual({ resets: [], leftOut: 1, exchanged: [] });
  });

  test('bends that a reset for another instrument would put to rest are scaled once', () => {
    const seats = [
      seat('a', [0], { bendRangeSemitones: 12, registeredParameters: new Set(), resets: new Set() }),
      seat('b', [1]),
    ];
    const { document, bytes } = documentOf([systemOn(1), [0, [0xe0, 0, 96]], ...note(0, 60)], seats);
    expect(document.bendsScaledChannels).toEqual([1]);
    expect(fitted(bytes, seats).fit.song).toBeUndefined();
  });

  test('what goes to no instrument stays as it is', () => {
    const { document, bytes } = documentOf(
      [...note(0, 60), ...note(5, 60), ...note(1, 10)],
      [seat('a', [0]), seat('b', [1], { keys: { low: 36, high: 96 } })],
    );
    expect(document.moved).toEqual([{ what: 'part-key', channel: 2, from: 10, to: 46, notes: 1 }]);
    expect(messagesOf(columnsOfChannels(columnsIn(bytes), [5]).columns)).toEqual([
      [96, 0, 0x95, 60, 100],
      [192, 0, 0x85, 60, 64],
    ]);
  });
});
