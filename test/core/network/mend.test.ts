/** What a journal makes the receiver send: RFC 6295, section 4 and appendix A.3 (chapter C: value, toggle and count). */
import { expect, test } from 'vitest';
import type { ChannelJournal, ControllerLog } from '../../../src/core/network/journal.ts';
import { Mender } from '../../../src/core/network/mend.ts';
import { StreamMemory } from '../../../src/core/network/stream-memory.ts';
import { bytesOf, hexOf } from '../../support/stream-log.ts';

/** What is sent to a receiver that has been told `said`, when a journal with these controllers of channel 3 comes. */
function mended(said: readonly string[], ...controllers: readonly ControllerLog[]): string[] {
  const memory = new StreamMemory();
  for (const message of said) memory.fold(bytesOf(message), 0);
  const channel: ChannelJournal = {
    channel: 2,
    controllers,
    parameters: [],
    isLastSelected: false,
    struck: [],
    released: [],
    keyPressure: [],
  };
  const sent: string[] = [];
  new Mender(memory).mend({ checkpoint: 0, channels: [channel] }, (command) => {
    sent.push(hexOf(command));
    memory.fold(command, 0);
  });
  return sent;
}

const pedal = (value: number): ControllerLog => ({ number: 0x40, tool: 'toggle', value });

test('a switch told by its toggles (A.3.3): an odd number is on, an even one off, and what is so already is not sent', () => {
  expect(mended(['B2 40 00'], pedal(1))).toEqual(['B2 40 7F']);
  expect(mended(['B2 40 00'], pedal(63))).toEqual(['B2 40 7F']);
  expect(mended(['B2 40 3F'], pedal(2))).toEqual([]);
  expect(mended(['B2 40 40'], pedal(3))).toEqual([]);
  expect(mended(['B2 40 7F'], pedal(2))).toEqual(['B2 40 00']);
});

test('a switch that nothing was said of is off: the message that is lost may have been the first', () => {
  expect(mended([], pedal(1))).toEqual(['B2 40 7F']);
  expect(mended([], pedal(2))).toEqual([]);
  expect(mended(['B2 40 7F', 'FF'], pedal(1))).toEqual(['B2 40 7F']);
});

test('a mode message told by its count (A.3.2) is sent once, however often it was lost', () => {
  const off = (value: number): ControllerLog => ({ number: 0x7b, tool: 'count', value });
  expect(mended([], off(3))).toEqual(['B2 7B 00']);
  expect(mended(['B2 7B 00'], off(1))).toEqual([]);
  expect(mended([], { number: 0x07, tool: 'count', value: 3 })).toEqual([]);
});

test('a value is sent where it is another', () => {
  const volume: ControllerLog = { number: 7, tool: 'value', value: 90 };
  expect(mended([], volume)).toEqual(['B2 07 5A']);
  expect(mended(['B2 07 5A'], volume)).toEqual([]);
});
