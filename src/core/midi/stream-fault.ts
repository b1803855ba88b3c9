/**
 * What can be wrong in a live MIDI byte stream. None of it stops the parser: the fault is counted, placed and
 * shown, and the next good byte is taken as it comes (MIDI 1.0 Detailed Specification 4.2.1, p. ).
 */
export const Fault = {
  /** Data bytes while no status is in force: ignored (p. A-2). */
  strayData: 0,
  /** F4 or F5: undefined, ignored, clears running status (p. A-1, table VI). */
  undefinedCommon: 1,
  /** F9 or FD: undefined, ignored, changes nothing (table VII). */
  undefinedRealTime: 2,
  /** A message of which only the beginning came before the next status byte. */
  truncated: 3,
  /** SysEx ended by another status byte than F7: legal to receive (p. 35), yet rarely meant. */
  sysExCut: 4,
  /** F7 outside a SysEx. */
  strayEnd: 5,
} as const;

export type FaultKind = (typeof Fault)[keyof typeof Fault];

export const FAULT_KINDS = 6;

/** One line of words for each kind, by its number. */
export const FAULT_WORDS: readonly string[] = [
  'data byte with no status before it',
  'undefined system common status',
  'undefined real-time status',
  'message cut short by the next status',
  'SysEx cut short by another status',
  'end of SysEx without a beginning',
];

/** What is no fault: see `StreamSink.rest`. */
export const REST_WORDS = 'rest of a message that began before';

/** A short name for each kind, by its number, for reports that programs read. */
export const FAULT_NAMES: readonly string[] = Object.keys(Fault);
