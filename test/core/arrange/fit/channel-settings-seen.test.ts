import fc from 'fast-check';
import { expect, test } from 'vitest';
import { ChannelSettingsSeen } from '../../../../src/core/arrange/fit/channel-settings-seen.ts';
import { bytesOf, hexOf } from '../../../support/stream-log.ts';

function seen(...texts: readonly string[]): ChannelSettingsSeen {
  const settings = new ChannelSettingsSeen(2);
  for (const text of texts) {
    const [status, data1, data2 = 0] = bytesOf(text);
    settings.take(status!, data1!, data2);
  }
  return settings;
}
/** What has to be sent to a channel that is set so to sound like one that is set otherwise. */
const between = (from: readonly string[], to: readonly string[]) =>
  [...seen(...to).messagesFrom(seen(...from))].map((message) => hexOf(Uint8Array.from(message)));

const RANGE = ['B0 65 00', 'B0 64 00', 'B0 06 0C'];
const TOLD = [...RANGE, 'B0 65 7F', 'B0 64 7F'];

test.each<[string, readonly string[], readonly string[], readonly string[]]>([
  ['nothing', [], [], []],
  ['a controller', [], ['B0 01 05'], ['B0 01 05']],
  [
    'one that goes back to rest: General MIDI',
    ['B0 07 40', 'B0 0B 40', 'B0 0A 00', 'B0 01 09'],
    [],
    ['B0 01 00', 'B0 07 64', 'B0 0A 40', 'B0 0B 7F'],
  ],
  [
    'what is at rest by itself',
    [],
    ['B0 07 64', 'B0 0B 7F', 'B0 0A 40', 'B0 01 00', 'E0 00 40', 'D0 00'],
    [],
  ],
  ['the same on both sides', ['B0 07 40', 'E0 01 02'], ['B0 07 40', 'E0 01 02'], []],
  ['bend and pressure', [], ['E0 01 50', 'D0 07'], ['E0 01 50', 'D0 07 00']],
  [
    'banks, data entry and modes are no settings',
    [],
    ['B0 00 01', 'B0 20 02', 'B0 06 03', 'B0 26 04', 'B0 60 05', 'B0 7A 00', 'B0 7E 01'],
    [],
  ],
  ['notes and programs neither', [], ['90 07 10', 'C0 07', 'A0 07 10', '80 01 10'], []],
  ['a bend range', [], RANGE, TOLD],
  [
    'a bend range that is the usual one, but said',
    [],
    ['B0 65 00', 'B0 64 00', 'B0 06 02'],
    ['B0 65 00', 'B0 64 00', 'B0 06 02', 'B0 65 7F', 'B0 64 7F'],
  ],
  ['a range that both were told', RANGE, RANGE, []],
  ['data entry for another parameter', [], ['B0 65 00', 'B0 64 01', 'B0 06 0C'], []],
  ['data entry for a parameter of a maker', [], ['B0 65 00', 'B0 64 00', 'B0 63 00', 'B0 06 0C'], []],
  // RP-015: modulation, expression, pedals, bend and pressure; not volume and pan.
  [
    'a reset',
    [],
    ['B0 01 05', 'B0 07 05', 'B0 0A 05', 'B0 0B 05', 'B0 40 7F', 'E0 01 02', 'D0 03', 'B0 79 00'],
    ['B0 07 05', 'B0 0A 05'],
  ],
])('%s', (_what, from, to, messages) => {
  expect(between(from, to)).toEqual(messages);
});

test('once they are sent nothing is left to send', () => {
  const message = fc.tuple(
    fc.constantFrom(0xb0, 0xb0, 0xb0, 0xe0, 0xd0, 0xc0),
    fc.constantFrom(0, 1, 6, 7, 11, 64, 98, 99, 100, 101, 121, 123),
    fc.constantFrom(0, 0, 2, 64, 127),
  );
  fc.assert(
    fc.property(fc.array(message), fc.array(message), (before, after) => {
      const [now, wanted] = [new ChannelSettingsSeen(2), new ChannelSettingsSeen(2)];
      for (const one of before) now.take(...one);
      for (const one of after) wanted.take(...one);
      const told = new ChannelSettingsSeen(2);
      for (const one of before) told.take(...one);
      for (const one of wanted.messagesFrom(now)) told.take(...one);
      expect([...wanted.messagesFrom(now)]).toEqual([]);
      expect([...wanted.messagesFrom(told)]).toEqual([]);
      expect(told.loudness).toBe(wanted.loudness);
    }),
  );
});

test('loudness is volume by expression, and never nothing', () => {
  expect(seen().loudness).toBe(100 * 127);
  expect(seen('B0 07 40', 'B0 0B 20').loudness).toBe(64 * 32);
  expect(seen('B0 07 00', 'B0 0B 00').loudness).toBe(1);
});
