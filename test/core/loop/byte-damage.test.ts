import { expect, test } from 'vitest';
import { byteDamage, damageOf, messageDamage } from '../../../src/core/loop/byte-damage.ts';

/** No two alike, so that each has one place. */
const SENT = Uint8Array.from({ length: 40 }, (_, n) => 0x10 + n);
const changed = (place: number, heard: number) => ({ kind: 'changed', place, sent: SENT[place], heard });
const heardWith = (edit: (bytes: number[]) => void): Uint8Array => {
  const bytes = [...SENT];
  edit(bytes);
  return Uint8Array.from(bytes);
};

test('all came', () => {
  const damage = byteDamage(SENT, SENT);
  expect([...damage.heardOf]).toEqual([...SENT.keys()]);
  expect([damageOf(damage), damage.faults]).toEqual([0, []]);
});

test('bits by which of them and which way: 1 where 0 was sent, and the other way', () => {
  const heard = heardWith((bytes) => {
    bytes[4] = 0x94; // of 0x14: bit 7 set
    bytes[20] = 0xa5; // of 0x24: bits 0 and 7 set
    bytes[31] = 0x0f; // of 0x2f: bit 5 cleared
  });
  expect(byteDamage(SENT, heard)).toMatchObject({
    lost: 0,
    changed: 3,
    added: 0,
    bitsSet: [1, 0, 0, 0, 0, 0, 0, 2],
    bitsCleared: [0, 0, 0, 0, 0, 1, 0, 0],
    faults: [changed(4, 0x94), changed(20, 0xa5), changed(31, 0x0f)],
  });
});

test('what is lost and what is added stands in its place, at the beginning, within and at the end', () => {
  const heard = heardWith((bytes) => {
    bytes.push(0xfe, 0xf8);
    bytes.splice(20, 1);
    bytes.unshift(0xf0);
  });
  const damage = byteDamage(SENT, heard);
  expect(damage.faults).toEqual([
    { kind: 'added', place: 0, sent: undefined, heard: 0xf0 },
    { kind: 'lost', place: 20, sent: SENT[20], heard: undefined },
    { kind: 'added', place: 40, sent: undefined, heard: 0xfe },
    { kind: 'added', place: 40, sent: undefined, heard: 0xf8 },
  ]);
  expect([...damage.heardOf.subarray(18, 22)]).toEqual([19, 20, -1, 21]);
  expect([damage.lost, damage.added, damageOf(damage)]).toEqual([1, 3, 4]);
});

test('by messages: running status and the places of real-time bytes make no difference', () => {
  const sent = Uint8Array.of(0x90, 60, 1, 62, 1, 0xf8, 0x80, 60, 0);
  const heard = Uint8Array.of(0xf8, 0x90, 60, 1, 0x90, 62, 1, 0x80, 60, 0);
  const { messages, realTime } = messageDamage(sent, heard);
  expect([damageOf(messages), damageOf(realTime)]).toEqual([0, 0]);
  const less = messageDamage(sent, heard.subarray(1, 8));
  expect([less.messages.lost, less.realTime.lost]).toEqual([3, 1]);
});
