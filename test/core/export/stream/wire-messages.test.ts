import { describe, expect, test } from 'vitest';
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

describe('what a plan puts on the wire', () => {
  const heard = (messages: Parameters<typeof timelineOf>[0], traits = MIDI_WIRE) => {
    const { bytes, first, count, startMicros } = wireMessagesOf(planOf(timelineOf(messages)), traits);
    expect(bytes).toHaveLength(first[count]!);
    expect([first.length, startMicros.length]).toEqual([count + 1, count]);
    return { text: hexOf(bytes), first: [...first], startMicros: [...startMicros] };
  };

  test('nothing', () => {
    expect(heard([])).toEqual({ text: '', first: [0], startMicros: [] });
    // A maker's own message is held back: then there is nothing either.
    expect(heard([[5, 0xf0, 0x7d, 1, 0xf7]])).toEqual({ text: '', first: [0], startMicros: [] });
  });

  test('messages of one data byte and of two, and running status after each', () => {
    expect(
      heard([
        [0, 0xd1, 5],
        [0, 0xd1, 6],
        [0, 0xc1, 7],
        [0, 0xb1, 7, 100],
        [0, 0xb1, 10, 64],
        [0, 0xe1, 0, 64],
      ]),
    ).toMatchObject({ text: 'D1 05 06 C1 07 B1 07 64 0A 40 E1 00 40', first: [0, 2, 3, 5, 8, 10, 13] });
  });

  test('a port that sends each status itself has them all', () => {
    const device = { ...MIDI_WIRE, runningStatus: 'device' as const };
    expect(
      heard(
        [
          [0, 0x90, 60, 1],
          [0, 0x90, 62, 1],
        ],
        device,
      ).text,
    ).toBe('90 3C 01 90 3E 01');
  });

  test('a SysEx ends running status; times are counted from the first that is sent', () => {
    const { text, startMicros } = heard([
      [3_000, 0xf0, 0x7d, 1, 0xf7],
      [5_000, 0x90, 60, 1],
      [5_000, 0xf0, 0x7e, 0x7f, 9, 1, 0xf7],
      [50_000, 0x90, 62, 1],
    ]);
    expect(text).toBe('90 3C 01 F0 7E 7F 09 01 F7 90 3E 01');
    expect(startMicros).toEqual([0, 960, 45_000]);
  });

  test('the status byte comes again two seconds after it was last sent', () => {
    const notes = [0, 1_900_000, 2_100_000].map((micros) => [micros, 0x90, 60, 1] as const);
    expect(heard(notes).text).toBe('90 3C 01 3C 01 90 3C 01');
  });
});
