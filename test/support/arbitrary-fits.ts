import fc from 'fast-check';
import { GENERAL_MIDI } from '../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../src/core/instrument/instrument.ts';
import { type DeltaEvent, songBytes } from './song-bytes.ts';

/** Eight invented sounds, numbered in their own way and chosen by a bank; some take two voices. */
export const FEW_SOUNDS = [0, 4, 19, 32, 48, 56, 73, 81].map((like, index) => ({
  number: index * 3,
  name: `Sound ${index + 1}`,
  like,
  keys: undefined,
  voicesEach: like === 48 ? 2 : 1,
}));

export const DRUM_BOX = new Map([36, 38, 42, 49].map((key) => [key, `drum ${key}`]));

export const instruments: fc.Arbitrary<Instrument> = fc.record({
  name: fc.constant('invented'),
  voices: fc.integer({ min: 1, max: 12 }),
  parts: fc.integer({ min: 1, max: 5 }),
  channels: fc.constantFrom([0, 1, 2, 3, 4, 5], [0, 9], GENERAL_MIDI.channels),
  keys: fc.constantFrom({ low: 0, high: 127 }, { low: 36, high: 84 }, { low: 60, high: 64 }),
  full: fc.constantFrom('oldest', 'released', 'newest'),
  releaseMicros: fc.constantFrom(0, 200_000),
  bendRangeSemitones: fc.constantFrom(0, 2, 12),
  controllers: fc.constantFrom(undefined, new Set([7, 10, 11])),
  registeredParameters: fc.constantFrom(undefined, new Set<number>(), new Set([0])),
  resets: fc.constantFrom(GENERAL_MIDI.resets, new Set(['all-notes-off'] as const)),
  pauses: fc.constantFrom(GENERAL_MIDI.pauses, { ...GENERAL_MIDI.pauses, afterProgramMicros: 120_000 }),
  runningStatus: fc.boolean(),
  banks: fc.constantFrom(GENERAL_MIDI.banks, [{ name: 'few', msb: 3, lsb: undefined, programs: FEW_SOUNDS }]),
  drums: fc.constantFrom(
    GENERAL_MIDI.drums,
    { channels: [5], keys: DRUM_BOX, kits: new Map([[0, 'Kit']]) },
    { channels: [], keys: new Map(), kits: new Map() },
  ),
  quirks: fc.constant([]),
});

/** Notes and what moves them, on several channels and tracks, at ticks that often coincide. */
export const tracks = fc.array(
  fc.array(
    fc.record({
      tick: fc.integer({ min: 0, max: 60 }),
      length: fc.integer({ min: 0, max: 40 }),
      channel: fc.constantFrom(0, 0, 1, 2, 6, 9),
      kind: fc.constantFrom(
        'note',
        'note',
        'note',
        'note',
        'program',
        'pedal',
        'bend',
        'volume',
        'bank',
        'range',
        'reset',
      ),
      key: fc.constantFrom(24, 36, 38, 48, 60, 60, 61, 64, 72, 96),
      value: fc.integer({ min: 1, max: 127 }),
    }),
    { maxLength: 24 },
  ),
  { minLength: 1, maxLength: 3 },
);

type Thing = { tick: number; length: number; channel: number; kind: string; key: number; value: number };

function messagesOf({ tick, length, channel, kind, key, value }: Thing): (readonly [number, number[]])[] {
  const cc = (number: number, data: number): readonly [number, number[]] => [
    tick * 12,
    [0xb0 | channel, number, data],
  ];
  switch (kind) {
    case 'note':
      return [
        [tick * 12, [0x90 | channel, key, value]],
        [(tick + length) * 12, [0x80 | channel, key, 64]],
      ];
    case 'program':
      return [[tick * 12, [0xc0 | channel, value]]];
    case 'pedal':
      return [cc(64, 127), [(tick + length) * 12, [0xb0 | channel, 64, 0]]];
    case 'bend':
      return [[tick * 12, [0xe0 | channel, 0, value]]];
    case 'reset':
      return [cc([120, 121, 123][value % 3]!, 0)];
    case 'bank':
      return [cc(0, value & 3)];
    case 'range':
      return [cc(101, 0), cc(100, 0), cc(6, 1 + (value % 12))];
    default:
      return [cc(7, value)];
  }
}

/** @param system messages of the first track, each at its tick and before what else is there */
export function songOf(
  things: readonly (readonly Thing[])[],
  system: readonly (readonly [number, number[]])[] = [],
): Uint8Array {
  const made = things.map((track, n) => {
    const messages = [...(n === 0 ? system : []), ...track.flatMap(messagesOf)];
    const sorted = messages.sort((a, b) => a[0] - b[0]);
    return sorted.map(([tick, bytes], at): DeltaEvent => [tick - (sorted[at - 1]?.[0] ?? 0), bytes]);
  });
  return songBytes(made);
}
