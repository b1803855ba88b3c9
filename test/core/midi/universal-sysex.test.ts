import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { classifySysEx, SYSEX_CLASSES, type SysExKind } from '../../../src/core/midi/universal-sysex.ts';
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

  it('says which messages an instrument stores', () => {
    const stores = (wire: string): boolean => classifySysEx(hex(wire)).stores;
    expect(stores('F0 7E 00 01 00 00 F7')).toBe(true); // sample dump
    expect(stores('F0 7E 00 07 01 00 F7')).toBe(true); // file dump
    expect(stores('F0 43 12 00 07 F7')).toBe(true); // a maker's own: nobody knows
    expect(stores('F0 7E 7F 09 01 F7')).toBe(false);
    expect(stores('F0 7F 7F 04 01 00 40 F7')).toBe(false);
  });
});
