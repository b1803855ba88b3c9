import fc from 'fast-check';
import type { PackOptions } from '../../../src/core/wire/packing/pack-options.ts';
import { MIDI_WIRE, type WireTraits } from '../../../src/core/wire/wire-traits.ts';

export const randomOptions: fc.Arbitrary<PackOptions> = fc.record(
  {
    earlyMicros: fc.constantFrom(0, 3000, 20_000),
    leadInMicros: fc.constantFrom(0, 10_000, 2_000_000),
    setupEarlyMicros: fc.constantFrom(0, 5000, 1_000_000),
    stateEarlyMicros: fc.constantFrom(0, 2000, 10_000),
    offEarlyMicros: fc.constantFrom(0, 10_000, 30_000),
    yieldMicros: fc.constantFrom(0, 5000, 20_000),
    setupFirst: fc.boolean(),
    allowSysEx: fc.boolean(),
    settleMicros: fc.constantFrom(0, 50_000),
  },
  { requiredKeys: [] },
);

export const randomTraits: fc.Arbitrary<WireTraits> = fc.constantFrom(
  MIDI_WIRE,
  { ...MIDI_WIRE, runningStatus: 'device' as const },
  { ...MIDI_WIRE, baud: 38_400, gapMicros: 200 },
);
