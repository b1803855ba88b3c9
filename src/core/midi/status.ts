/**
 * The 256 byte values of the MIDI wire, in one table (MIDI 1.0 Detailed Specification 4.2.1, Tables I–VI;
 * running status: p. 5 and ).
 */

export type StatusKind =
  | 'data'
  | 'note-off'
  | 'note-on'
  | 'key-pressure'
  | 'controller'
  | 'program'
  | 'channel-pressure'
  | 'pitch-bend'
  | 'sysex'
  | 'common'
  | 'end-of-sysex'
  | 'real-time';

/** What a byte does to the receiver's running status buffer. */
export type RunningStatusEffect = 'sets' | 'clears' | 'keeps' | 'uses';

export interface StatusEntry {
  readonly kind: StatusKind;
  readonly name: string;
  /** Data bytes that follow; −1 for SysEx, which runs until the next status byte that is not real-time. */
  readonly dataBytes: number;
  readonly runningStatus: RunningStatusEffect;
  /** False for what the standard leaves undefined: F4, F5, F9 and FD. A receiver ignores these. */
  readonly defined: boolean;
}

export const UNTIL_END = -1;

const CHANNEL_MESSAGES: readonly (readonly [StatusKind, string, number])[] = [
  ['note-off', 'Note Off', 2],
  ['note-on', 'Note On', 2],
  ['key-pressure', 'Polyphonic Key Pressure', 2],
  ['controller', 'Control Change', 2],
  ['program', 'Program Change', 1],
  ['channel-pressure', 'Channel Pressure', 1],
  ['pitch-bend', 'Pitch Bend', 2],
];

const SYSTEM_MESSAGES: readonly (readonly [StatusKind, string, number, RunningStatusEffect, boolean])[] = [
  ['sysex', 'System Exclusive', UNTIL_END, 'clears', true],
  ['common', 'MTC Quarter Frame', 1, 'clears', true],
  ['common', 'Song Position Pointer', 2, 'clears', true],
  ['common', 'Song Select', 1, 'clears', true],
  ['common', 'Undefined F4', 0, 'clears', false],
  ['common', 'Undefined F5', 0, 'clears', false],
  ['common', 'Tune Request', 0, 'clears', true],
  ['end-of-sysex', 'End of Exclusive', 0, 'clears', true],
  ['real-time', 'Timing Clock', 0, 'keeps', true],
  ['real-time', 'Undefined F9', 0, 'keeps', false],
  ['real-time', 'Start', 0, 'keeps', true],
  ['real-time', 'Continue', 0, 'keeps', true],
  ['real-time', 'Stop', 0, 'keeps', true],
  ['real-time', 'Undefined FD', 0, 'keeps', false],
  ['real-time', 'Active Sensing', 0, 'keeps', true],
  // A receiver that honours a reset clears its running status with all the rest (p. 33); the byte itself
  // is real-time and may stand between any two others.
  ['real-time', 'System Reset', 0, 'keeps', true],
];

function entryOf(byte: number): StatusEntry {
  if (byte < 0x80) {
    return { kind: 'data', name: 'Data', dataBytes: 0, runningStatus: 'uses', defined: true };
  }
  if (byte < 0xf0) {
    const [kind, name, dataBytes] = CHANNEL_MESSAGES[(byte >> 4) - 8]!;
    return { kind, name, dataBytes, runningStatus: 'sets', defined: true };
  }
  const [kind, name, dataBytes, runningStatus, defined] = SYSTEM_MESSAGES[byte - 0xf0]!;
  return { kind, name, dataBytes, runningStatus, defined };
}

/** [256] one entry for each byte value. */
export const STATUS_TABLE: readonly StatusEntry[] = Array.from({ length: 256 }, (_, byte) => entryOf(byte));

/** [256] data bytes after each status byte, for loops: 0 for data bytes themselves, −1 for SysEx. */
export const DATA_BYTES: Int8Array = Int8Array.from(STATUS_TABLE, (entry) => entry.dataBytes);

/** True for 80–EF, the messages that belong to a channel. */
export function isChannelStatus(byte: number): boolean {
  return byte >= 0x80 && byte < 0xf0;
}

/** True for F8–FF, which may stand between any two bytes of another message. */
export function isRealTime(byte: number): boolean {
  return byte >= 0xf8;
}

/** True for a note-on that strikes: velocity 0 is a note-off (p. 10). */
export function isNoteOn(status: number, velocity: number): boolean {
  return (status & 0xf0) === 0x90 && velocity > 0;
}

/** True for 8n, and for 9n with velocity 0. */
export function isNoteOff(status: number, velocity: number): boolean {
  return (status & 0xf0) === 0x80 || ((status & 0xf0) === 0x90 && velocity === 0);
}
