import { expect, test } from 'vitest';
import { endSilence, stopSilence } from '../../../../src/core/export/stream/silence-messages.ts';
import { followedBy, NOTHING, type WireMessages } from '../../../../src/core/export/stream/wire-messages.ts';
import { bytesOf, hexOf } from '../../../support/stream-log.ts';

/** Messages as they go over the wire, running status left out where it is in a text. */
function heard(...texts: readonly string[]): WireMessages {
  const all = texts.map(bytesOf);
  const first = [0];
  for (const bytes of all) first.push(first.at(-1)! + bytes.length);
  return {
    count: all.length,
    bytes: Uint8Array.from(all.flatMap((bytes) => [...bytes])),
    first: Uint32Array.from(first),
    startMicros: Float64Array.from(all, (_, n) => n * 1000),
  };
}
const hex = (messages: readonly number[][]) => messages.map((message) => hexOf(Uint8Array.from(message)));

test('an end: note-offs for what still sounds, once for each strike, pedals up, bends home, All Notes Off', () => {
  const messages = heard(
    ...['92 3C 40', '3C 50', '40 01', '40 00', 'F8', '43 01', '45 01', '82 43 40'],
    ...['90 10 01', '80 11 40', '90 12 01', '80 12 40'],
    ...['B2 40 01', 'B3 42 7F', '42 00', 'E2 00 41', 'E3 00 41', '00 40', 'C5 07', 'F3 01'],
  );
  expect(hex(endSilence(messages))).toEqual([
    ...['90 10 00', '92 3C 00', '92 45 00', '92 3C 00', 'B2 40 00'],
    'E2 00 40',
    ...['B0 7B 00', 'B2 7B 00', 'B3 7B 00', 'B5 7B 00'],
  ]);
});

test('the lowest key of a channel is not the one above the highest of the channel before', () => {
  expect(hex(endSilence(heard('90 7F 01', '91 00 01', 'B0 40 00')))).toEqual([
    ...['90 7F 00', '91 00 00', 'B0 7B 00', 'B1 7B 00'],
  ]);
});

test('a stop at any moment: pedals and bends that ever were, each key in its range, as often as it ever was struck', () => {
  const messages = heard(
    ...['90 3C 40', '3C 40', '3C 00', '3C 00', '3E 01', '3E 00'],
    ...['B0 40 7F', '40 00', 'E0 01 40', '00 40', 'B1 07 40', 'E1 00 41', '91 00 01', '02 01'],
  );
  expect(hex(stopSilence(messages))).toEqual([
    ...['B0 40 00', 'E0 00 40', 'B0 7B 00', 'E1 00 40', 'B1 7B 00'],
    ...['90 3C 00', '90 3D 00', '90 3E 00', '90 3C 00', '91 00 00', '91 01 00', '91 02 00'],
    ...['B0 78 00', 'B1 78 00'],
  ]);
});

test('nothing needs no silence', () => {
  for (const nothing of [NOTHING, heard('F0 7D 01 F7', 'F8', 'F3 01', 'F6')])
    expect([endSilence(nothing), stopSilence(nothing)]).toEqual([[], []]);
});

test('messages behind others go on with the last status among themselves, and begin when the wire is free', () => {
  const both = followedBy(
    heard('90 3C 40', '3E 40'),
    [
      [0x90, 60, 0],
      [0x90, 62, 0],
      [0xb0, 123, 0],
    ],
    320,
  );
  expect(hexOf(both.bytes)).toBe('90 3C 40 3E 40 90 3C 00 3E 00 B0 7B 00');
  expect([...both.first]).toEqual([0, 3, 5, 8, 10, 13]);
  expect([...both.startMicros]).toEqual([0, 1000, 1640, 2600, 3240]);
  expect(both.count).toBe(5);
});

test('behind nothing a message is the first', () => {
  const one = followedBy(NOTHING, [[0xb0, 123, 0]], 320);
  expect(hexOf(one.bytes)).toBe('B0 7B 00');
  expect([one.count, [...one.first], [...one.startMicros]]).toEqual([1, [0, 3], [0]]);
});
