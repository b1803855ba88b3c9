import { describe, expect, it } from 'vitest';
import {
  DATA_BYTES,
  isChannelStatus,
  isNoteOff,
  isNoteOn,
  isRealTime,
  STATUS_TABLE,
} from '../../../src/core/midi/status.ts';

/** MIDI 1.0 Detailed Specification 4.2.1, Tables I–VI: first and last status, name, data bytes (−1: until F7). */
const PUBLISHED: readonly (readonly [from: number, to: number, name: string, dataBytes: number])[] = [
  [0x00, 0x7f, 'Data', 0],
  [0x80, 0x8f, 'Note Off', 2],
  [0x90, 0x9f, 'Note On', 2],
  [0xa0, 0xaf, 'Polyphonic Key Pressure', 2],
  [0xb0, 0xbf, 'Control Change', 2],
  [0xc0, 0xcf, 'Program Change', 1],
  [0xd0, 0xdf, 'Channel Pressure', 1],
  [0xe0, 0xef, 'Pitch Bend', 2],
  [0xf0, 0xf0, 'System Exclusive', -1],
  [0xf1, 0xf1, 'MTC Quarter Frame', 1],
  [0xf2, 0xf2, 'Song Position Pointer', 2],
  [0xf3, 0xf3, 'Song Select', 1],
  [0xf4, 0xf4, 'Undefined F4', 0],
  [0xf5, 0xf5, 'Undefined F5', 0],
  [0xf6, 0xf6, 'Tune Request', 0],
  [0xf7, 0xf7, 'End of Exclusive', 0],
  [0xf8, 0xf8, 'Timing Clock', 0],
  [0xf9, 0xf9, 'Undefined F9', 0],
  [0xfa, 0xfa, 'Start', 0],
  [0xfb, 0xfb, 'Continue', 0],
  [0xfc, 0xfc, 'Stop', 0],
  [0xfd, 0xfd, 'Undefined FD', 0],
  [0xfe, 0xfe, 'Active Sensing', 0],
  [0xff, 0xff, 'System Reset', 0],
];

describe('the table of status bytes', () => {
  it('is whole, and says what the specification says', () => {
    expect(STATUS_TABLE).toHaveLength(256);
    let next = 0;
    for (const [from, to, name, dataBytes] of PUBLISHED) {
      expect(from).toBe(next);
      for (let byte = from; byte <= to; byte++) {
        expect(STATUS_TABLE[byte]).toMatchObject({ name, dataBytes });
        expect(DATA_BYTES[byte]).toBe(dataBytes);
      }
      next = to + 1;
    }
    expect(next).toBe(256);
  });

  it('says what each does to running status (p. 5, A-1 to A-3)', () => {
    const effects = (from: number, to: number) =>
      new Set(STATUS_TABLE.slice(from, to + 1).map((entry) => entry.runningStatus));
    expect(effects(0x00, 0x7f)).toEqual(new Set(['uses']));
    expect(effects(0x80, 0xef)).toEqual(new Set(['sets']));
    expect(effects(0xf0, 0xf7)).toEqual(new Set(['clears']));
    expect(effects(0xf8, 0xff)).toEqual(new Set(['keeps']));
  });

  it('knows the four the specification leaves undefined', () => {
    const undefinedOnes = STATUS_TABLE.flatMap((entry, byte) => (entry.defined ? [] : [byte]));
    expect(undefinedOnes).toEqual([0xf4, 0xf5, 0xf9, 0xfd]);
  });

  it('tells channel, system and real-time bytes apart', () => {
    expect([0x7f, 0x80, 0xef, 0xf0].map(isChannelStatus)).toEqual([false, true, true, false]);
    expect([0xf7, 0xf8, 0xff].map(isRealTime)).toEqual([false, true, true]);
  });

  it('takes a note-on of velocity 0 for a note-off (Table I)', () => {
    expect([isNoteOn(0x95, 1), isNoteOn(0x95, 0), isNoteOn(0x85, 64)]).toEqual([true, false, false]);
    expect([isNoteOff(0x95, 1), isNoteOff(0x95, 0), isNoteOff(0x85, 64)]).toEqual([false, true, true]);
  });
});
