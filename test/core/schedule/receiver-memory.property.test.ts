import fc from 'fast-check';
import { expect, test } from 'vitest';
import { ReceiverMemory } from '../../../src/core/schedule/receiver-memory.ts';
import { REST_VALUES, UNSET } from '../../../src/core/schedule/rest-values.ts';
import { catalogueSysEx } from '../../../src/core/schedule/sysex-catalogue.ts';
import { timelineOf } from '../../support/timeline-of.ts';

type Message = readonly [status: number, data1: number, data2: number];

/** Controllers that mean something of their own, and any. */
const controller = fc.oneof(
  fc.constantFrom(0, 32, 1, 33, 6, 38, 64, 96, 97, 98, 99, 100, 101, 120, 121, 123, 124, 125, 126, 127),
  fc.nat(127),
);
const data = fc.oneof(fc.constantFrom(0, 1, 63, 64, 127), fc.nat(127));
const onChannel = fc.oneof(
  fc.tuple(fc.constantFrom(0xa0, 0xd0, 0xe0, 0xc0, 0x90, 0x80), data, data),
  fc.tuple(fc.constant(0xb0), controller, data),
);
const message = fc
  .tuple(fc.constantFrom(0, 1, 7, 15), onChannel)
  .map(([channel, [kind, data1, data2]]): Message => [kind | channel, data1, data2]);

function heard(messages: readonly Message[]): ReceiverMemory {
  const memory = new ReceiverMemory();
  for (const [status, data1, data2] of messages) memory.fold(status, data1, data2);
  return memory;
}

/** Everything that is known of one channel. */
function channelOf(memory: ReceiverMemory, channel: number) {
  const cells = (column: Uint8Array) => [...column.subarray(channel * 128, channel * 128 + 128)];
  const { parameters } = memory;
  const rows = Array.from({ length: parameters.count }, (_, row) => row)
    .filter((row) => parameters.key[row]! >> 15 === channel)
    .map((row) => [
      parameters.key[row]! & 0x7fff,
      parameters.msb[row]!,
      parameters.lsb[row]!,
      parameters.stale[row]!,
      parameters.steps[row]!,
    ])
    // A row in which nothing is known is none.
    .filter(([, msb, lsb, , steps]) => msb !== UNSET || lsb !== UNSET || steps !== 0)
    .sort((a, b) => a[0]! - b[0]!);
  const selection = memory.selection(channel);
  return {
    value: cells(memory.value),
    named: cells(memory.named),
    stale: [...memory.stale.subarray(channel * 32, channel * 32 + 32)],
    keyPressure: cells(memory.keyPressure),
    program: memory.program[channel],
    bank: [memory.bankMsb[channel], memory.bankLsb[channel]],
    bend: memory.bend[channel],
    pressure: memory.pressure[channel],
    selected: memory.selected[channel],
    reset: memory.reset[channel],
    selection: selection < 0 ? selection : selection & 0x7fff,
    rows,
  };
}

const allOf = (memory: ReceiverMemory) =>
  Array.from({ length: 16 }, (_, channel) => channelOf(memory, channel));

test('channels are islands: to forget some is never to have heard of them, and each is as any other would be', () => {
  fc.assert(
    fc.property(
      fc.array(message, { maxLength: 40, size: 'max' }),
      fc.nat(0xffff),
      fc.nat(15),
      (messages, forgotten, other) => {
        const memory = heard(messages);
        const copy = heard([[0xb3, 7, 1]]);
        copy.copyFrom(memory);
        expect(allOf(copy)).toEqual(allOf(memory));
        memory.forgetChannels(forgotten);
        const kept = messages.filter(([status]) => (forgotten & (1 << (status & 15))) === 0);
        expect(allOf(memory)).toEqual(allOf(heard(kept)));
        // The copy is one of its own.
        expect(allOf(copy)).toEqual(allOf(heard(messages)));
        const own = messages.filter(([status]) => (status & 15) === 7);
        const moved = own.map(([status, data1, data2]): Message => [(status & 0xf0) | other, data1, data2]);
        expect(channelOf(heard(moved), other)).toEqual(channelOf(heard(own), 7));
        copy.forget();
        expect(allOf(copy)).toEqual(allOf(new ReceiverMemory()));
      },
    ),
    { numRuns: 25 },
  );
});

test('of a receiver nothing is known of, only what no message named and a reset alone left at rest is presumed', () => {
  fc.assert(
    fc.property(fc.array(message, { maxLength: 30, size: 'max' }), fc.nat(0xffff), (messages, channels) => {
      const song = heard(messages);
      const receiver = new ReceiverMemory();
      receiver.presumeRest(song, channels);
      const isAsked = (cell: number) => (channels & (1 << (cell >> 7))) !== 0;
      const rests = (cell: number) => song.named[cell] === 0 && song.value[cell] === REST_VALUES[cell & 127];
      const value = song.value.map((there, cell) => (isAsked(cell) && rests(cell) ? there : UNSET));
      const pressure = song.keyPressure.map((there, cell) => (isAsked(cell) && there === 0 ? 0 : UNSET));
      expect(Buffer.compare(receiver.value, value)).toBe(0);
      expect(Buffer.compare(receiver.keyPressure, pressure)).toBe(0);
    }),
    { numRuns: 40 },
  );
});

/** A General MIDI reset, and an inquiry (MIDI 1.0, Table VIIa). */
const SYSEX = catalogueSysEx(
  timelineOf([
    [0, 0xf0, 0x7e, 0x7f, 9, 1, 0xf7],
    [0, 0xf0, 0x7e, 0x7f, 6, 1, 0xf7],
  ]),
  false,
);
const GM_ON = 0;
const INQUIRY = 1;

test('after a General MIDI reset nothing is left of what was said, but which controllers were named; an inquiry changes nothing', () => {
  fc.assert(
    fc.property(fc.array(message, { maxLength: 40, size: 'max' }), (messages) => {
      const fresh = new ReceiverMemory(SYSEX);
      fresh.foldSysEx(GM_ON);
      const memory = new ReceiverMemory(SYSEX);
      for (const [status, data1, data2] of messages) memory.fold(status, data1, data2);
      const before = allOf(memory);
      memory.foldSysEx(INQUIRY);
      expect(allOf(memory)).toEqual(before);
      memory.foldSysEx(GM_ON);
      const named = before.map((channel) => channel.named);
      expect(allOf(memory)).toEqual(allOf(fresh).map((channel, n) => ({ ...channel, named: named[n] })));
      expect(memory.sysEx.reset).toBe(GM_ON);
    }),
    { numRuns: 25 },
  );
});

test('what a General MIDI reset leaves: the values at rest, no parameter selected, no program that one may count on', () => {
  const memory = new ReceiverMemory(SYSEX);
  memory.foldSysEx(GM_ON);
  for (const channel of allOf(memory)) {
    // Volume 100, expression 127 (GM1); pan, balance and sound controllers in the middle, reverb send 40 (GM2);
    // the selections null; no value for the channel modes 120–127. All else 0.
    const rests: Record<number, number> = { 7: 100, 8: 64, 10: 64, 11: 127, 91: 40 };
    const value = (n: number) => (n >= 120 ? UNSET : n >= 98 && n < 102 ? 127 : n >= 70 && n < 80 ? 64 : 0);
    expect(channel.value).toEqual(Array.from({ length: 128 }, (_, n) => rests[n] ?? value(n)));
    expect(channel).toMatchObject({
      program: UNSET,
      bank: [0, 0],
      bend: 8192,
      pressure: 0,
      reset: 1,
      selection: -1,
    });
    expect(new Set([...channel.keyPressure, ...channel.stale, ...channel.named])).toEqual(new Set([0]));
  }
});
