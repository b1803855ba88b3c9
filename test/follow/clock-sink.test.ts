import { expect, test } from 'vitest';
import { MIDI_WIRE } from '../../src/core/wire/wire-traits.ts';
import { ClockSink } from '../../src/follow/clock-sink.ts';
import { bytesOf } from '../support/stream-log.ts';

function taken(hex: string, paced: boolean): number[][] {
  const messages: number[][] = [];
  const sink = new ClockSink({ wire: MIDI_WIRE, paced }, (...message) => void messages.push(message));
  sink.bytes(bytesOf(hex), 10_000);
  return messages;
}

test('only what a clock consists of is taken, also from between the bytes of other messages', () => {
  expect(taken('90 3C F8 40 F2 0A F8 00 FE F0 01 F8 02 F7 FA F1 20 FB FC FF F3 01', false)).toEqual(
    [[0xf8], [0xf8], [0xf2, 10, 0], [0xf8], [0xfa], [0xfb], [0xfc], [0xff]].map(
      ([status = 0, data1 = 0, data2 = 0]) => [10_000, status, data1, data2],
    ),
  );
});

test('at the pace of a wire each byte is stamped with its own moment, 320 µs apart', () => {
  expect(taken('F8 F8 F2 01 00', true).map(([micros]) => micros)).toEqual([8720, 9040, 10_000]);
});

test('a message that a broken line cuts off is no message', () => {
  const messages: number[][] = [];
  const sink = new ClockSink({ wire: MIDI_WIRE, paced: false }, (...message) => void messages.push(message));
  sink.bytes(bytesOf('F2 01'), 1);
  sink.finish();
  sink.bytes(bytesOf('02 F8'), 2);
  expect(messages).toEqual([[2, 0xf8, 0, 0]]);
});
