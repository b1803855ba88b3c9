import { expect, test } from 'vitest';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { MessageStamper } from '../../../src/engine/input/message-stamper.ts';
import { bytesOf, hexOf } from '../../support/stream-log.ts';

function stamper(paced: boolean) {
  const taken: [hex: string, micros: number][] = [];
  const sink = new MessageStamper({ wire: MIDI_WIRE, paced }, (bytes, length, micros) => {
    taken.push([hexOf(bytes.slice(0, length)), micros]);
  });
  return { sink, taken };
}

test('messages are whole, with their status byte, and real-time ones come from between the bytes of others', () => {
  const { sink, taken } = stamper(false);
  sink.bytes(bytesOf('90 3C F8 40 3E 00 F2 0A F8 00 C1 05'), 1);
  expect(taken.map(([hex]) => hex)).toEqual(['F8', '90 3C 40', '90 3E 00', 'F8', 'F2 0A 00', 'C1 05']);
});

test('a SysEx is handed on as well, whole where it is short', () => {
  const { sink, taken } = stamper(false);
  sink.bytes(bytesOf('F0 7D 01 02 F7 90 3C 40'), 5);
  expect(taken).toEqual([
    ['F0 7D 01 02 F7', 5],
    ['90 3C 40', 5],
  ]);
});

test('at the pace of a wire each has the moment of its own last byte, 320 µs apart (31,250 baud, 10 bits)', () => {
  const { sink, taken } = stamper(true);
  sink.bytes(bytesOf('F8 F8 F2 01 00'), 10_000);
  expect(taken.map(([, micros]) => micros)).toEqual([8720, 9040, 10_000]);
});

test('a message that a broken line cuts off is no message, and a status byte counts until another comes', () => {
  const { sink, taken } = stamper(false);
  sink.bytes(bytesOf('F2 01'), 1);
  sink.finish();
  sink.bytes(bytesOf('02 F8 91 3C 40'), 2);
  sink.bytes(bytesOf('3C 00'), 3);
  expect(taken).toEqual([
    ['F8', 2],
    ['91 3C 40', 2],
    ['91 3C 00', 3],
  ]);
});
