import { expect, test } from 'vitest';
import { PayloadKind } from '../../../src/core/timeline/payload-kind.ts';
import { payloadKindsOf } from '../../../src/core/timeline/payload-kinds.ts';
import { columnsOf, type Moment } from '../wire/columns-of.ts';

const kindOf = (...bytes: number[]) =>
  columnsOf([0, bytes.map((byte) => byte.toString(16)).join(' ')]).payloadKind[0];

test('a SysEx holds data bytes and one F7, nothing else (MIDI 1.0, Table VI): what has any other status is broken', () => {
  // Master Volume, a device of ours: F0 7F 7F 04 01 lsb msb F7.
  expect(kindOf(0xf0, 0x7f, 0x7f, 4, 1, 0, 100, 0xf7)).toBe(PayloadKind.lasting);
  for (let status = 0x80; status <= 0xff; status += 1) {
    for (const at of [1, 4, 6]) {
      const bytes = [0xf0, 0x7f, 0x7f, 4, 1, 0, 100, 0xf7];
      bytes[at] = status;
      expect(kindOf(...bytes), `${status.toString(16)} at ${at}`).toBe(PayloadKind.broken);
    }
  }
});

/** The kinds of the SysEx and escapes of these messages, by name. */
function kindsOf(...messages: string[]): string[] {
  const names = Object.keys(PayloadKind);
  return Array.from(columnsOf([0, ...messages] as Moment).payloadKind, (kind) => names[kind]!);
}

test('each class of message is one kind', () => {
  const resets = ['F0 7E 7F 09 01 F7', 'F0 7E 7F 09 02 F7', 'F0 7E 7F 09 03 F7'];
  expect(kindsOf(...resets)).toEqual(['reset', 'reset', 'reset']);
  // A tuning dump and a master volume stay; an inquiry and a time code pass.
  expect(kindsOf('F0 7E 00 08 01 00 F7', 'F0 7F 7F 04 01 00 64 F7')).toEqual(['lasting', 'lasting']);
  expect(kindsOf('F0 7E 7F 06 01 F7', 'F0 7F 7F 01 01 00 00 00 00 F7')).toEqual(['momentary', 'momentary']);
  // Samples, a maker’s own, and what says nothing that is defined.
  expect(kindsOf('F0 7E 00 01 00 F7', 'F0 41 01 F7', 'F0 7D 01 F7', 'F0 7E F7')).toEqual([
    'own',
    'own',
    'own',
    'own',
  ]);
  expect(kindsOf('F0 F7', 'F7 FA', 'F7 F7', 'F0 7D 01')).toEqual(['broken', 'broken', 'broken', 'broken']);
});

test('a message in packets is one message: its packets pass, and none of them is sent again after a seek', () => {
  expect(kindsOf('F0 7E 7F', 'F7 09', 'F7 01 F7')).toEqual(['momentary', 'momentary', 'momentary']);
  expect(kindsOf('F0 7F 7F 04', 'F7 01 00 64 F7')).toEqual(['momentary', 'momentary']);
  expect(kindsOf('F0 7D', 'F7 01 F7')).toEqual(['own', 'own']);
  // An empty packet changes nothing; an F0 without anything is no beginning.
  expect(kindsOf('F0 7E 7F', 'F7', 'F7 09 01 F7')).toEqual(['momentary', 'momentary', 'momentary']);
  expect(kindsOf('F0', 'F7 7E 7F 09 01 F7')).toEqual(['broken', 'broken']);
  // What follows the last packet is no part of it.
  expect(kindsOf('F0 7E 7F', 'F7 09 01 F7', 'F7 01 F7', 'F0 7E 7F 09 01 F7')).toEqual([
    'momentary',
    'momentary',
    'broken',
    'reset',
  ]);
});

test('a packet counts only directly behind the one before it', () => {
  expect(kindsOf('F0 7E 7F', 'B0 07 64', 'F7 09 01 F7')).toEqual(['broken', 'broken']);
  expect(kindsOf('F0 7E 7F', 'F0 7E 7F 09 01 F7', 'F7 09 01 F7')).toEqual(['broken', 'reset', 'broken']);
  const columns = columnsOf([0, 'F0 7E 7F', 'F7 09 01 F7']);
  expect([...payloadKindsOf(columns, [0, 1])]).toEqual([PayloadKind.momentary, PayloadKind.momentary]);
  columns.track[1] = 1;
  expect([...payloadKindsOf(columns, [0, 1])]).toEqual([PayloadKind.broken, PayloadKind.broken]);
});

test('status bytes in any packet break all of them', () => {
  expect(kindsOf('F0 7E 7F', 'F7 90', 'F7 09 01 F7')).toEqual(['broken', 'broken', 'broken']);
  expect(kindsOf('F0 7E 7F F7', 'F7 09 01 F7')).toEqual(['own', 'broken']);
});

test('a long message is known by its first eight bytes', () => {
  const body = '01 '.repeat(300);
  expect(kindsOf(`F0 7E 00 08 01 ${body} F7`, `F0 41 ${body} F7`, `F0 7E 7F 09 01 ${body} F7`)).toEqual([
    'lasting',
    'own',
    'reset',
  ]);
});
