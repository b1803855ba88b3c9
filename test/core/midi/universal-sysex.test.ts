import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { hexText } from '../../../src/core/midi/hex-text.ts';
import {
  classifySysEx,
  SYSEX_CLASSES,
  type SysExKind,
  sysExName,
} from '../../../src/core/midi/universal-sysex.ts';
import { hex } from '../../support/hex.ts';

/** MIDI 1.0 Detailed Specification 4.2.1, Table VIIa and the pages it names; GM2 On: RP-024. */
const PUBLISHED: readonly (readonly [wire: string, kind: SysExKind, reset: boolean])[] = [
  ['F0 7E 7F 09 01 F7', 'gm-on', true],
  ['F0 7E 10 09 01 F7', 'gm-on', true],
  ['F0 7E 7F 09 02 F7', 'gm-off', true],
  ['F0 7E 7F 09 03 F7', 'gm2-on', true],
  ['F0 7F 7F 04 01 00 40 F7', 'master-volume', false],
  ['F0 7F 7F 04 02 00 40 F7', 'master-balance', false],
  ['F0 7E 7F 06 01 F7', 'identity-request', false],
  ['F0 7E 00 06 02 43 00 01 02 03 00 00 00 01 F7', 'identity-reply', false],
  ['F0 7F 7F 01 01 00 00 00 00 F7', 'full-frame', false],
  ['F0 7E 00 01 00 00 F7', 'universal', false],
  ['F0 7E 7F 55 01 F7', 'universal', false],
  ['F0 7F 7F 09 01 F7', 'universal', false],
  ['F0 7E F7', 'universal', false],
  ['F0 7D 01 02 F7', 'non-commercial', false],
  ['F0 43 12 00 07 F7', 'maker', false],
  ['F0 00 20 33 01 F7', 'maker', false],
  ['F0 F7', 'empty', false],
  ['F0', 'empty', false],
];

describe('what a SysEx message is', () => {
  it.each(PUBLISHED)('%s is %s', (wire, kind, reset) => {
    const bytes = hex(wire);
    expect(classifySysEx(bytes)).toMatchObject({ kind, reset });
    // A song's payload lacks the F0, and lies somewhere in the file.
    const inFile = Uint8Array.from([0xf0, 0x7e, ...bytes.subarray(1), 0x09, 0x01]);
    expect(classifySysEx(inFile, 2, bytes.length - 1).kind).toBe(kind);
  });

  it('is universal by its id alone', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 127 }),
        fc.array(fc.integer({ min: 0, max: 127 })),
        (id, rest) => {
          const found = classifySysEx(Uint8Array.from([0xf0, id, ...rest, 0xf7]));
          expect(found.universal).toBe(id === 0x7e || id === 0x7f);
          expect(SYSEX_CLASSES).toContain(found);
        },
      ),
    );
  });

  it('by id and sub-ids: names, and what is held back, stored and lasting (Table VIIa)', () => {
    // id, sub-id 1, sub-id 2 (`..` for any), name; then h: held back, s: stores, l: lasts.
    const TABLE = `
      7E 01 .. Sample Dump Header           hs
      7E 02 .. Sample Data Packet           hs
      7E 03 .. Sample Dump Request          h
      7E 04 .. MIDI Time Code Set-Up
      7E 05 .. Sample Dump Extension        hs
      7E 06 01 Identity Request
      7E 06 02 Identity Reply
      7E 06 .. Universal SysEx
      7E 07 .. File Dump                    hs
      7E 08 .. Tuning Dump                  sl
      7E 09 01 General MIDI System On
      7E 09 02 General MIDI System Off
      7E 09 03 General MIDI 2 System On
      7E 09 .. Universal SysEx
      7E 0A .. Downloadable Sounds          l
      7E 7B .. End of File
      7E 7C .. Wait
      7E 7D .. Cancel
      7E 7E .. Not Acknowledged
      7E 7F .. Acknowledged
      7F 01 01 MIDI Time Code Full Frame
      7F 01 .. MIDI Time Code
      7F 02 .. Show Control
      7F 03 .. Notation
      7F 04 01 Master Volume                l
      7F 04 02 Master Balance               l
      7F 04 .. Device Control               l
      7F 05 .. Real-Time Cueing
      7F 06 .. Machine Control Command
      7F 07 .. Machine Control Response
      7F 08 .. Tuning Change                l
      7F 09 .. Controller Destination       l
      7F 0A .. Key-Based Instrument Control l
      7F 0B .. Scalable Polyphony           l`;
    const rows = [...TABLE.matchAll(/^ +(\S\S) (\S\S) (\S\S) (\S+(?: \S+)*?)(?: +([hsl]+))?$/gm)];
    expect(rows).toHaveLength(34);
    const wordsOf = (id: number, sub1: number, sub2: number) => {
      const { name, held, stores, lasting } = classifySysEx(Uint8Array.of(0xf0, id, 0x10, sub1, sub2, 0xf7));
      return `${name} ${held ? 'h' : ''}${stores ? 's' : ''}${lasting ? 'l' : ''}`.trim();
    };
    for (const id of [0x7e, 0x7f]) {
      for (let sub1 = 0; sub1 < 128; sub1 += 1) {
        for (const sub2 of [0, 1, 2, 3, 4, 127]) {
          const bytes = [id, sub1, sub2].map((byte) => hexText([byte]));
          const row = rows.find((one) =>
            bytes.every((byte, i) => one[i + 1] === byte || one[i + 1] === '..'),
          );
          const expected = row ? `${row[4]} ${row[5] ?? ''}`.trim() : 'Universal SysEx';
          expect(wordsOf(id, sub1, sub2), bytes.join(' ')).toBe(expected);
        }
      }
    }
  });

  it('a universal one that ends before its sub-id is held back, a maker’s own and the non-commercial too', () => {
    const held = (wire: string) => classifySysEx(hex(wire)).held;
    expect(['F0 7E 10 F7', 'F0 7F F7', 'F0 7E 10', 'F0 41 01 F7', 'F0 7D 01 F7', 'F0 F7'].map(held)).toEqual(
      Array(6).fill(true),
    );
    expect(['F0 7E 10 55 F7', 'F0 7F 10 55', 'F0 7E 10 09 01'].map(held)).toEqual([false, false, false]);
    expect(classifySysEx(hex('F0 7F 10 01'), 0, 3).held).toBe(true);
    // What stands behind its end is none of it: not the sub-id that would make it General MIDI On.
    expect(classifySysEx(hex('F0 7E 7F 09 01 F7'), 0, 4)).toMatchObject({ kind: 'universal', reset: false });
  });

  it('a maker’s own may store anything', () => {
    const stores = (wire: string): boolean => classifySysEx(hex(wire)).stores;
    expect([stores('F0 43 12 00 07 F7'), stores('F0 7D 01 F7'), stores('F0 F7')]).toEqual([
      true,
      false,
      false,
    ]);
  });

  it('each kind has one name', () => {
    expect(sysExName('gm-on')).toBe('General MIDI System On');
    expect(sysExName('gm2-on')).toBe('General MIDI 2 System On');
    expect(sysExName('maker')).toBe("Maker's SysEx");
  });
});
