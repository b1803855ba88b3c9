import { expect, test } from 'vitest';
import { wireMessagesOf } from '../../../../src/core/export/stream/wire-messages.ts';
import { MIDI_WIRE } from '../../../../src/core/wire/wire-traits.ts';
import { hexOf } from '../../../support/stream-log.ts';
import { planOf, timelineOf } from '../../../support/timeline-of.ts';

test('a plan as bytes of the wire: running status where it may be, SysEx whole, a maker’s own held back', () => {
  const plan = planOf(
    timelineOf([
      [1000, 0xc0, 5],
      [1000, 0xf0, 0x7e, 0x7f, 9, 1, 0xf7],
      [1000, 0xf0, 0x7d, 1, 2, 0xf7],
      [20_000, 0x90, 60, 64],
      [20_000, 0x90, 62, 64],
    ]),
  );
  const { bytes, first, count, startMicros } = wireMessagesOf(plan, MIDI_WIRE);
  expect(hexOf(bytes.subarray(0, first[count]))).toBe('C0 05 F0 7E 7F 09 01 F7 90 3C 40 3E 40');
  expect([...first.subarray(0, count + 1)]).toEqual([0, 2, 8, 11, 13]);
  // A byte takes 320 µs (MIDI 1.0, p. 1); counted from the first message.
  expect([...startMicros]).toEqual([0, 640, 19_000, 19_960]);
});
