import fc from 'fast-check';
import { expect, test } from 'vitest';
import { StreamParser } from '../../../src/core/midi/stream-parser.ts';
import { LooseMessages } from '../../../src/core/schedule/loose-messages.ts';
import type { Outlet } from '../../../src/core/schedule/outlet.ts';
import { ReceiverMemory } from '../../../src/core/schedule/receiver-memory.ts';
import { UNSET } from '../../../src/core/schedule/rest-values.ts';
import { TIME_COUNT } from '../../../src/core/schedule/scheduler-times.ts';
import { Sender } from '../../../src/core/schedule/sender.ts';
import { Sounding } from '../../../src/core/schedule/sounding.ts';
import { NO_SYSEX } from '../../../src/core/schedule/sysex-catalogue.ts';
import { timelineOf } from '../../support/timeline-of.ts';

/** Bytes of the song go in, what the outlet is handed comes out. */
function rig(audible = 0xffff) {
  const sent: number[][] = [];
  const held: number[] = [];
  const outlet: Outlet = {
    message: (status, data1, data2) => sent.push([status, data1, data2]),
    payload: (status, bytes, start, length) => sent.push([status, ...bytes.subarray(start, start + length)]),
    withdraw() {},
    dropOthers() {},
    heldBack: (channel) => held.push(channel),
    wireFree() {},
  };
  const columns = timelineOf([]);
  const sender = new Sender(outlet, columns, NO_SYSEX, new Float64Array(TIME_COUNT));
  const song = new ReceiverMemory();
  const sounding = new Sounding(columns.status);
  const loose = new LooseMessages({ audible, song }, sender, sounding);
  const parser = new StreamParser(loose);
  const feed = (...bytes: number[]): void => {
    const all = Uint8Array.from(bytes);
    parser.feed(all, 0, all.length);
  };
  return { sent, held, sender, song, sounding, loose, feed };
}

const note = fc.record({
  on: fc.boolean(),
  channel: fc.constantFrom(0, 1, 9, 15),
  key: fc.constantFrom(0, 60, 127),
  velocity: fc.nat(127),
});

test('a loose note sounds where its channel is heard and in time; a note-off goes only for one that does', () => {
  fc.assert(
    fc.property(
      fc.array(note, { maxLength: 40, size: 'max' }),
      fc.nat(0xffff),
      fc.boolean(),
      (notes, audible, late) => {
        const { sent, held, sounding, loose, feed } = rig(audible);
        loose.late = late;
        const strikes = new Map<number, number>();
        const meant: number[][] = [];
        const meantHeld: number[] = [];
        for (const { on, channel, key, velocity } of notes) {
          const status = (on ? 0x90 : 0x80) | channel;
          feed(status, key, velocity);
          const cell = channel * 128 + key;
          const count = strikes.get(cell) ?? 0;
          if (on && velocity > 0) {
            if (late) continue;
            if ((audible & (1 << channel)) === 0) {
              meantHeld.push(channel);
              continue;
            }
            strikes.set(cell, count + 1);
          } else {
            if (count === 0) continue;
            strikes.set(cell, count - 1);
          }
          meant.push([status, key, velocity]);
        }
        expect(sent).toEqual(meant);
        expect(held).toEqual(meantHeld);
        for (const [cell, count] of strikes) expect(sounding.strikes[cell]).toBe(count);
      },
    ),
    { numRuns: 150 },
  );
});

test('what they say of a channel is the song’s word, and the receiver’s', () => {
  const { song, sender, feed, sent } = rig();
  feed(0xb3, 7, 99, 0xc3, 5, 0xe3, 1, 2);
  expect(sent).toHaveLength(3);
  for (const memory of [song, sender.memory]) {
    expect([memory.value[3 * 128 + 7], memory.program[3], memory.bend[3]]).toEqual([99, 5, (2 << 7) | 1]);
  }
});

test.each([
  ['System Reset', [0xff], true],
  ['GM System On (Universal SysEx 7E 7F 09 01)', [0xf0, 0x7e, 0x7f, 9, 1, 0xf7], true],
  ['an inquiry', [0xf0, 0x7e, 0x7f, 6, 1, 0xf7], false],
  ['timing clock', [0xf8], false],
  ['song select', [0xf3, 0], false],
])('%s: what both were told is forgotten or not', (_, bytes, forgets) => {
  const { song, sender, feed } = rig();
  feed(0xb3, 7, 99, ...bytes);
  const value = forgets ? UNSET : 99;
  expect([song.value[3 * 128 + 7], sender.memory.value[3 * 128 + 7]]).toEqual([value, value]);
});

test('SysEx goes out whole, in pieces where it is long, and one that was cut is closed', () => {
  const { sent, sender, feed } = rig();
  const data = Array.from({ length: 600 }, (_, at) => at % 128);
  feed(0xf0, 0x7d, ...data, 0xf7);
  expect(sent[0]![0]).toBe(0xf0);
  expect(sent.slice(1).every(([status]) => status === 0xf7)).toBe(true);
  expect(sent.flatMap(([, ...bytes]) => bytes)).toEqual([0x7d, ...data, 0xf7]);
  expect(sender.sysExOpen).toBe(false);
  sent.length = 0;
  feed(0xf0, 0x7d, ...data, 0x90, 60, 64);
  const bytes = sent.slice(0, -1).flatMap(([, ...rest]) => rest);
  expect(bytes.at(-1)).toBe(0xf7);
  expect(sent.at(-1)).toEqual([0x90, 60, 64]);
});
