import { expect, test } from 'vitest';
import { wireFor } from '../../../src/core/wire/wire-for.ts';
import { MIDI_WIRE, microsPerByte } from '../../../src/core/wire/wire-traits.ts';

/** The rest after a reset is no matter of the wire: the song waits for it (`settleMicros`). */
const NO_PAUSES = { betweenBytesMicros: 0, afterProgramMicros: 0, afterSysExMicros: 0, afterResetMicros: 9 };

test('without an instrument, and for one that wants nothing, a wire stays what it is', () => {
  expect(wireFor(MIDI_WIRE, undefined)).toBe(MIDI_WIRE);
  expect(wireFor(MIDI_WIRE, { pauses: NO_PAUSES, runningStatus: true })).toEqual(MIDI_WIRE);
});

test('an instrument that needs whole messages gets them', () => {
  const traits = wireFor(MIDI_WIRE, { pauses: NO_PAUSES, runningStatus: false });
  expect(traits).toEqual({ ...MIDI_WIRE, runningStatus: 'device' });
  const encodes = { ...MIDI_WIRE, runningStatus: 'device' as const };
  expect(wireFor(encodes, { pauses: NO_PAUSES, runningStatus: true }).runningStatus).toBe('device');
});

test('each rest it needs is kept', () => {
  for (const name of ['betweenBytesMicros', 'afterProgramMicros', 'afterSysExMicros'] as const) {
    const traits = wireFor(MIDI_WIRE, { pauses: { ...NO_PAUSES, [name]: 70 }, runningStatus: true });
    const none = { betweenBytesMicros: 0, afterProgramMicros: 0, afterSysExMicros: 0 };
    expect(traits).toEqual({ ...MIDI_WIRE, ...none, [name]: 70 });
    expect(microsPerByte(traits)).toBe(name === 'betweenBytesMicros' ? 390 : 320);
  }
});
