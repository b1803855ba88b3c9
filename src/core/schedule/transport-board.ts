export const TRANSPORT_STATES = ['stopped', 'playing', 'paused', 'ended'] as const;
export type TransportState = (typeof TRANSPORT_STATES)[number];

/** Index of each state, for the sending thread, which only writes numbers. */
export const Transport = { stopped: 0, playing: 1, paused: 2, ended: 3 } as const;

/** Places the scheduler writes in the board's `numbers`; `observe/observed-state.ts` takes them over in `Slot`. */
export const TransportSlot = {
  /** Index into TRANSPORT_STATES. */
  transport: 1,
  /**
   * Song position (µs) and the run time (µs) at which it was true: while playing a reader adds what has passed
   * since, times the tempo scale. `positionAtMicros` may lie ahead (the music waits for the chase): then add
   * nothing. While a count-in runs the position lies before the start, and may be negative.
   */
  positionMicros: 2,
  positionAtMicros: 3,
  tempoScale: 4,
  transpose: 5,
  /** −1 while no loop is set. */
  loopFromMicros: 6,
  loopToMicros: 7,
  /** Note-ons left out by the late policy. */
  skippedNoteOns: 17,
  /** Times the music was held because the machine slept. */
  stalls: 18,
  /** SysEx messages held back. */
  heldSysEx: 21,
  /** 1 once the engine has ended. */
  ended: 24,
  /** Bits of the channels that play drums: their keys are instruments, and are not transposed. */
  drumChannels: 27,
  /** Somebody who plays along (`Visitor`): one of `VisitorInput`; notes struck, messages passed on and held back. */
  visitorInput: 32,
  visitorNotes: 33,
  visitorMessages: 34,
  visitorHeld: 35,
  /** The longest that a message of theirs took from its arrival to the wire (µs), with a SysEx on it and without. */
  visitorWorstMicros: 36,
  /** Song time (µs) that a count-in leads to: while the position lies before it, beats are counted. −Infinity for none. */
  countedToMicros: 28,
} as const;

/** Where the scheduler shows its settings and position; an `ObservedState` is one. Channel tables are [16]. */
export interface TransportBoard {
  readonly numbers: Float64Array;
  readonly muted: Uint8Array;
  readonly soloed: Uint8Array;
  readonly velocityTrim: Int8Array;
  readonly channelTranspose: Int8Array;
  /** −1 for none. */
  readonly programOverride: Int16Array;
}
